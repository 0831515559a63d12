import type { Phrase } from '../../language/phrase.ts';
import { html, markup } from './html.ts';
import type { Markup } from './html.ts';

/**
 * A picture for paper and wide screens, and the same for narrow ones; the style sheet shows one of them. `undefined` when
 * there is nothing to draw.
 */
export function bothLayouts(draw: (layout: 'wide' | 'narrow') => Phrase | undefined): Markup | undefined {
  const wide = draw('wide');
  const narrow = draw('narrow');
  return wide && narrow
    ? html`<div class="picture wide">${markup(wide)}</div>
        <div class="picture narrow">${markup(narrow)}</div>`
    : undefined;
}
