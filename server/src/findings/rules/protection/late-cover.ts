import { andList, say } from '../../../language/phrase.ts';
import { windowsOf } from '../../../sequence/facts/exposure.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';
import { fix, moveStep, putBefore, stepBefore, waitFor } from '../../support/mending.ts';
import {
  traceAt,
  hazardsOf,
  contactsOf,
  hazardOperationNames,
  traceHazards,
  spanOfMention,
  named,
  traceOpening,
  metIn,
} from '../../support/words.ts';

export const lateCover: FindingRule = {
  id: 'late-cover',
  title: say`The cover may come too late`,
  severity: 'error',
  page: () => ({
    means: say`The connector is opened and covered, but a step that produces dust, debris, overspray, water or sparks where it is may come first: because it is written there, or because nothing makes it wait for the cover while two people work at once.`,
    why: say`A cover put on over dirt keeps the dirt in. On the shop floor, an order that is not written down can go wrong.`,
    whatToDo: say`Make the dirty step wait for the cover, or move the cover to right after the opening.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op30, do: cover, connectors: [inverter-dc], using: dummy-plug }
  - { id: op40, do: grind, zone: rear-floor, after: [op20] }
`,
      right: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op30, do: cover, connectors: [inverter-dc], using: dummy-plug }
  - { id: op40, do: grind, zone: rear-floor, after: [op30] }
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
      for (const window of windowsOf(plan, life)) {
        const { opened, closed, hazards } = window;
        if (opened.act !== 'disconnect' || closed?.act !== 'cover' || hazards.length === 0) continue;
        const cover = closed.operation;
        const certain = hazards.some((hazard) => hazard.certain);
        yield {
          at: spanOfMention(cover, connector.id),
          operation: cover.id,
          connector: connector.id,
          ...metIn(window),
          message: say`${named(cover)} ${certain ? say`comes too late` : say`may come too late`} for ${connector.id}: ${hazardOperationNames(hazards)} may put ${hazardsOf(window)} on ${contactsOf(connector)} first. Make ${hazards.length > 1 ? say`them` : hazards[0]!.operation.planStep.id} wait for ${cover.planStep.id}, or cover sooner.`,
          trace: [
            traceOpening(opened.operation, connector),
            ...traceHazards(window, connector),
            traceAt(cover, say`${cover.id}: the cover comes here`),
          ],
          fixes: () => {
            const step = cover.planStep;
            const threats = [...new Set(hazards.map(({ operation }) => operation.planStep))];
            const free = threats.filter((threat) => !stepBefore(plan, threat, step));
            const opener = opened.operation.planStep;
            const edits =
              free.length === threats.length
                ? free.map((threat) => waitFor(plan, threat, [step.id]))
                : putBefore(plan, step, opener, threats);
            return [
              fix(say`Do ${andList(threats.map(({ id }) => id))} only after ${step.id}`, edits),
              fix(say`Move ${step.id} to right after ${opener.id}`, moveStep(plan, step, 'after', opener)),
            ];
          },
        };
      }
    }
  },
};
