import { removeItem, setKey } from '../../../document/edits.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';
import { fix } from '../../support/mending.ts';
import { someOf } from '../../support/needs.ts';

export const acceptanceUnmatched: FindingRule = {
  id: 'acceptance-unmatched',
  title: say`An acceptance that matches no finding, or dangers of the whole plan`,
  severity: 'warning',
  page: () => ({
    means: say`An \`accepted\` line names a finding that does not come up at that place, or one that can only be corrected, such as an error of the text; or it names no place (\`at\`) and hides errors about the order and the safety of the work.`,
    why: say`If it stays in, it would hide the next such mistake, which nobody has looked at.`,
    whatToDo: say`Remove the line, or write or correct the step or connector under \`at\`.`,
    source: say`Rule of the plan language.`,
    example: {
      wrong: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op30, do: cover, connectors: [inverter-dc], using: dummy-plug }
accepted:
  - { finding: weak-cover, at: op30, reason: No dummy plug at hand., by: Lead technician, until: 2027-03-01 }
`,
      right: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op30, do: cover, connectors: [inverter-dc], using: orange-tape }
accepted:
  - { finding: weak-cover, at: op30, reason: No dummy plug at hand., by: Lead technician, until: 2027-03-01 }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'findings',
  tag: 'unused',
  *check({ plan, sequence, judgedOn, unusedAcceptances, broadAcceptances, isCorrected }) {
    for (const [{ finding, node }, all] of broadAcceptances()) {
      const places = [...new Set(all)];
      yield {
        at: finding.span,
        message: say`${finding.value} is accepted in the whole plan, where it comes up at ${someOf(places)}: the next such danger would be hidden, and nobody would have looked at it. Write \`at: ${places[0]!}\`, and a line of its own for any other place.`,
        fixes: () =>
          places.length === 1
            ? [fix(say`Accept it at ${places[0]!} alone`, [setKey(plan.document, node, 'at', places[0]!)])]
            : [],
      };
    }
    // Where something was left unchecked, or the day is not known, the finding may come up yet.
    if (judgedOn === undefined || plan.scope.unresolved.length > 0 || plan.unknownCalls.length > 0) return;
    const unmatched = unusedAcceptances();
    if (unmatched.length === 0) return;
    if ([...sequence.lives.values()].some(({ unsure, unclear }) => unsure || unclear)) return;
    for (const { finding, at, until, node } of unmatched) {
      // An expired one has its own finding.
      if (!until || until.value < judgedOn) continue;
      yield {
        at: finding.span,
        message: isCorrected(finding.value)
          ? say`${finding.value} cannot be accepted: nothing would be checked there, and the plan would look clean. Correct what it tells of, and remove this line.`
          : say`There is no ${finding.value}${at ? say` at ${at.value}` : say` in this plan`} to accept, and this line would hide the next one. Remove it${at ? say`, or correct \`at\`` : ''}.`,
        fixes: () => [fix(say`Remove this acceptance`, removeItem(plan.document, 'accepted', node))],
      };
    }
  },
};
