/** What nobody has settled or accepted: whoever works from the card must know of the errors and dangers of the work. */
import { severities } from '../../base/severities.ts';
import { findingById } from '../../findings/registry.ts';
import { isAboutWork } from '../../findings/severity.ts';
import { say } from '../../language/phrase.ts';
import type { ListedFinding } from '../listing/listing.ts';
import { html, withCode } from './html.ts';
import type { Content } from './html.ts';
import { section, warning } from './page.ts';
import { plural } from './words.ts';

export type OpenFinding = Pick<ListedFinding, 'finding' | 'severity' | 'message'>;

/** The card names the first few; the review has them all. */
const shown = 8;

/** A warning about readings or signatures is for the reviewer. */
function isAtWork({ finding, severity }: OpenFinding): boolean {
  const rule = findingById.get(finding);
  if (!rule || severity === 'information') return false;
  return severity === 'error' ? isAboutWork(rule) : rule.ground === 'order' || rule.ground === 'safety';
}

export function openAtWork(findings: readonly OpenFinding[]): Content {
  const open = findings
    .filter(isAtWork)
    .sort((a, b) => severities.indexOf(a.severity) - severities.indexOf(b.severity));
  if (open.length === 0) return undefined;
  const more = open.length - shown;
  return section(
    say`Found by the check and still open`,
    html`<p class="note">
        ${say`Nobody has settled or accepted these. Ask whoever reviews the plan before such a step starts.`}
      </p>
      ${open.slice(0, shown).map(({ severity, message }) => {
        const said = withCode(message);
        return warning(severity === 'error' ? html`<b>${said}</b>` : said);
      })}
      ${more > 0 && html`<p class="note">${plural(more, say`1 more stands in the review.`, say`${more} more stand in the review.`)}</p>`}`,
  );
}
