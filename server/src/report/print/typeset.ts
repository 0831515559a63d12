import type { Language } from '../../language/language.ts';
import { evenQuantities } from '../../language/quantities.ts';

/**
 * A page as a reader wants its numbers: no line ends between a number and its unit, and a quantity that is quoted from a
 * file has the decimal sign of the reader. Only texts change, no markup and no style.
 */
export const typeset = (html: string, language: Language | undefined): string =>
  html.replace(/<style[\s\S]*?<\/style>|<[^>]*>|[^<]+/g, (piece) =>
    piece.startsWith('<') ? piece : evenQuantities(piece, language),
  );
