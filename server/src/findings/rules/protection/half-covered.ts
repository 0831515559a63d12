import { setKey } from '../../../document/edits.ts';
import { say } from '../../../language/phrase.ts';
import { windowsOf } from '../../../sequence/facts/exposure.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { fix } from '../../support/mending.ts';
import {
  traceAt,
  halvesIn,
  traceHazards,
  spanOfMention,
  named,
  traceOpening,
  metIn,
} from '../../support/words.ts';

export const halfCovered: FindingRule = {
  id: 'half-covered',
  title: say`Only one half is covered`,
  severity: 'error',
  page: () => ({
    means: say`An opened connector has two halves. The plan covers one and leaves the other bare.`,
    why: say`The bare half takes up the same dirt and rubs it into the clean one when the connector is closed.`,
    whatToDo: say`Cover both halves.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op30, do: cover, connectors: [inverter-dc], halves: plug, using: dummy-plug }
  - { id: op40, do: grind, zone: rear-floor }
`,
      right: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op30, do: cover, connectors: [inverter-dc], halves: both, using: dummy-plug }
  - { id: op40, do: grind, zone: rear-floor }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  perConnector: true,
  *check({ plan, lives }) {
    for (const life of lives) {
      if (life.unsure) continue;
      const { connector } = life;
      const windows = windowsOf(plan, life);
      for (const window of windows) {
        const { opened, closed, halves } = window;
        if (opened.act !== 'disconnect' || closed?.act === 'cover' || halves.length === 2) continue;
        const cover = windows.find((other) => other.opened === opened && other.closed?.act === 'cover')
          ?.closed?.operation;
        if (!cover) continue;
        yield {
          at: spanOfMention(cover, connector.id),
          operation: cover.id,
          connector: connector.id,
          ...metIn(window),
          message: say`${named(cover)} leaves ${halvesIn(halves)} of ${connector.id} bare, and it carries dirt back into the covered one. Cover both halves.`,
          trace: [
            traceOpening(opened.operation, connector),
            traceAt(cover, say`${cover.id}: only ${halvesIn(cover.halves)} is covered here`),
            ...traceHazards(window, connector),
          ],
          fixes: () =>
            cover.step === cover.planStep
              ? [
                  fix(say`Cover both halves in ${cover.id}`, [
                    setKey(plan.document, cover.step.node, 'halves', 'both'),
                  ]),
                ]
              : [],
        };
      }
    }
  },
};
