import { rewrite } from '../../../document/edits.ts';
import type { AnyNode } from '../../../document/node.ts';
import { rangeOf } from '../../../text/span.ts';
import type { Edit, Span } from '../../../text/span.ts';
import { say } from '../../../language/phrase.ts';
import type { Phrase } from '../../../language/phrase.ts';
import type { Plan } from '../../../plan/plan.ts';
import { sectionIn } from '../../../plan/snapshot.ts';
import { currentFindingId } from '../../../plan/tables/renamed-findings.ts';
import type { FindingRule } from '../../finding.ts';
import { fix } from '../../support/mending.ts';

export const findingRenamed: FindingRule = {
  id: 'finding-renamed',
  title: say`An old name of a finding`,
  severity: 'information',
  page: () => ({
    means: say`An acceptance or a severity names a finding by a name that it no longer has. It still counts, under the new name.`,
    why: say`Whoever looks the finding up or searches for it by the name that is shown does not come upon this line.`,
    whatToDo: say`Write the new name.`,
    source: say`Rule of the plan language.`,
    example: {
      wrong: `operations: []
accepted:
  - { finding: never-ends, at: op10, reason: Closed on another plan., by: Lead technician, until: 2027-03-01 }
`,
      right: `operations: []
accepted:
  - { finding: never-closed, at: op10, reason: Closed on another plan., by: Lead technician, until: 2027-03-01 }
`,
    },
  }),
  kinds: ['repair-plan', 'rate-sheet'],
  ground: 'text',
  tag: 'renamed',
  *check({ plan }) {
    for (const { name, at, rewritten } of mentioned(plan)) {
      const current = currentFindingId(name);
      if (current === name) continue;
      yield {
        at,
        message: renamedMessage(name),
        fixes: () => [fix(say`Write ${current}`, [rewritten(current)], true)],
      };
    }
  },
};

/** What is said where an old name is written. */
export const renamedMessage = (name: string): Phrase =>
  say`The finding ${name} is called ${currentFindingId(name)} now. The old name still counts; write the new one.`;

interface Mention {
  readonly name: string;
  readonly at: Span;
  readonly rewritten: (name: string) => Edit;
}

/** Where a file names findings: in its acceptances, and as keys of its severities. */
function* mentioned({ reading }: Plan): Generator<Mention> {
  const accepted = sectionIn('accepted')(reading);
  for (const item of accepted?.kind === 'list' ? (accepted.items as readonly AnyNode[]) : []) {
    const node = item.kind === 'map' ? item.entry('finding')?.value : undefined;
    if (node?.kind !== 'scalar' || typeof node.value !== 'string') continue;
    yield { name: node.value, at: node.span, rewritten: (name) => rewrite(node, name) };
  }
  const policy = sectionIn('plugward')(reading);
  const severities = policy?.kind === 'map' ? policy.entry('severities')?.value : undefined;
  for (const { key, keySpan } of severities?.kind === 'map' ? severities.entries : [])
    yield { name: key, at: keySpan, rewritten: (name) => ({ ...rangeOf(keySpan), text: name }) };
}
