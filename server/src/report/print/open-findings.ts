/** Warnings that nobody has settled or accepted: whoever works from the card must know of those about its order and dangers. */
import { findingById } from '../../findings/registry.ts';
import { say } from '../../language/phrase.ts';
import type { ListedFinding } from '../listing/listing.ts';
import { html, withCode } from './html.ts';
import type { Content } from './html.ts';
import { section, warning } from './page.ts';
import { plural } from './words.ts';

export type OpenFinding = Pick<ListedFinding, 'finding' | 'severity' | 'message'>;

/** The card names the first few; the review has them all. */
const shown = 8;

export function openAtWork(findings: readonly OpenFinding[]): Content {
  const open = findings.filter(({ finding, severity }) => {
    const rule = findingById.get(finding);
    return severity === 'warning' && (rule?.ground === 'order' || rule?.ground === 'safety');
  });
  if (open.length === 0) return undefined;
  const more = open.length - shown;
  return section(
    say`Found by the check and still open`,
    html`<p class="note">
        ${say`Nobody has settled or accepted these warnings. Ask whoever reviews the plan before such a step starts.`}
      </p>
      ${open.slice(0, shown).map(({ message }) => warning(withCode(message), 'general'))}
      ${more > 0 && html`<p class="note">${plural(more, say`1 more stands in the review.`, say`${more} more stand in the review.`)}</p>`}`,
  );
}
