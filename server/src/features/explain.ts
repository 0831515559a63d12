import type { FindingRule } from '../findings/finding.ts';
import { findingById, findings } from '../findings/registry.ts';
import { isAboutWork, isCorrected } from '../findings/severity.ts';
import { renamedMessage } from '../findings/rules/document/finding-renamed.ts';
import { currentFindingId, oldFindingNames } from '../plan/tables/renamed-findings.ts';
import { joined, say } from '../language/phrase.ts';
import type { Phrase } from '../language/phrase.ts';
import { caution } from './caution.ts';
import type { Settings } from './check.ts';
import { localize } from './in-words.ts';

const severityWords = { error: say`error`, warning: say`warning`, information: say`information` };

/** How an editor shows the place of a finding: faded, or struck through. */
export const tagOf = (id: string): FindingRule['tag'] => findingById.get(id)?.tag;

export const isFinding = (id: string): boolean => findingById.has(currentFindingId(id));

export interface FindingTitle {
  readonly id: string;
  readonly title: string;
}

/** All findings by name. */
export const findingsList = (settings: Settings): FindingTitle[] =>
  findings
    .map(({ id, title }) => ({ id, title: localize(title, settings) }))
    .sort((a, b) => (a.id < b.id ? -1 : 1));

/** The old names of findings, each with what is said of it. */
export const renamedFindings = (settings: Settings): FindingTitle[] =>
  oldFindingNames.map((id) => ({ id, title: localize(renamedMessage(id), settings) }));

/** What the page of a finding says, part by part. */
export interface FindingParts extends FindingTitle {
  readonly severity: FindingRule['severity'];
  readonly means: string;
  readonly why: string;
  readonly whatToDo: string;
  readonly source: string;
  readonly wrong: string;
  readonly right: string;
}

/** The parts of one page, or of all in their order. */
export const explained = (id: string | undefined, settings: Settings): FindingParts[] =>
  findings
    .filter((findingRule) => id === undefined || findingRule.id === currentFindingId(id))
    .map(({ id: name, title, severity, page: itsPage }) => {
      const { means, why, whatToDo, source, example } = itsPage();
      return {
        id: name,
        title: localize(title, settings),
        severity,
        means: localize(means, settings),
        why: localize(why, settings),
        whatToDo: localize(whatToDo, settings),
        source: localize(source, settings),
        wrong: example.wrong,
        right: example.right,
      };
    });

/** The documentation page of a finding in Markdown, made from its file; undefined for an id that does not exist. */
export function explain(id: string, settings: Settings = {}): string | undefined {
  const finding = findingById.get(currentFindingId(id));
  return finding && localize(page(finding), settings);
}

/** How a finding is accepted or silenced, as far as it may be. */
function silencing(finding: FindingRule): readonly Phrase[] {
  const { id, severity } = finding;
  if (isCorrected(finding))
    return [
      say`## Accepting or silencing this finding`,
      say`It is corrected, not accepted: while it stands, something is not checked, or not told.`,
    ];
  return [
    say`## Accepting or silencing this finding`,
    say`For one plan, with a reason, a person and a last day:`,
    joined([
      '```yaml\naccepted:\n',
      say`  - { finding: ${id}, reason: Why it is acceptable here., by: Who is responsible, until: 2027-03-01 }`,
      '\n```',
    ]),
    ...(severity === 'error' && isAboutWork(finding)
      ? [
          say`For the whole shop it stays an error: \`errors-lowered\` tells of a rate sheet or of settings that lower it or switch it off.`,
        ]
      : [
          say`For the whole shop, in its rate sheet:`,
          joined([
            '```yaml\nplugward:\n',
            say`  severities: { ${id}: information }   # error, warning, information or off`,
            '\n```',
          ]),
        ]),
  ];
}

function page(finding: FindingRule): Phrase {
  const { id, title, severity } = finding;
  const { means, why, whatToDo: todo, source, example } = finding.page();
  const block = (text: string): string => '```yaml\n' + text.trimEnd() + '\n```';
  return joined(
    [
      say`# ${id}: ${title}`,
      means,
      say`**Why it matters.** ${why}`,
      say`**What to do.** ${todo}`,
      say`Usual severity: ${severityWords[severity]}. Source: ${source}`,
      say`## Wrong`,
      block(example.wrong),
      say`## Right`,
      block(example.right),
      ...(isAboutWork(finding)
        ? [
            say`Both are excerpts for this finding alone: what else the work needs, such as making the vehicle safe first, is left out.`,
          ]
        : []),
      ...silencing(finding),
      '---',
      joined([caution, '\n']),
    ],
    '\n\n',
  );
}
