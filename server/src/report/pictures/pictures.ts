/** The estimate drawn. SVG text once its language is known, ready for a page or a print. */
import type { Phrase } from '../../language/phrase.ts';
import { cyclePicture } from './cycle-picture.ts';
import type { HeatEstimate } from '../../heat/estimate.ts';
import { heatPicture } from './heat-picture.ts';
import { stacked } from './picture-parts.ts';
import { temperaturePicture } from './temperature-picture.ts';

/** All pictures of `connector` for which there is something to draw. */
export const picturesOf = (estimate: HeatEstimate, connector: string): Phrase[] =>
  [heatPicture, temperaturePicture, cyclePicture].flatMap((draw) => draw(estimate, connector) ?? []);

/** The same, one above the other in one SVG; `undefined` of none. */
export const heatPictures = (estimate: HeatEstimate, connector: string): Phrase | undefined =>
  stacked(picturesOf(estimate, connector));
