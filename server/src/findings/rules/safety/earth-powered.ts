import { historiesWhere } from '../../../sequence/lives.ts';
import { alsoAt, told, unmetGroups } from '../../support/needs.ts';
import { traceAt, named } from '../../support/words.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const earthPowered: FindingRule = {
  id: 'earth-powered',
  title: say`An earth connection opened while the vehicle may be powered`,
  severity: 'warning',
  page: () => ({
    means: say`An earth connection is opened, and it is not certain that the vehicle is no longer powered.`,
    why: say`The current takes another way back, through shields, bearings or control units; the end that was lifted draws an arc.`,
    whatToDo: say`Shut the vehicle down before the earth connection is opened.`,
    source: commonPractice,
    example: {
      wrong: `connectors:
  - { id: motor-earth, class: earth, zone: motor-bay }
operations:
  - { id: op10, do: power-up }
  - { id: op20, do: disconnect, connectors: [motor-earth] }
`,
      right: `connectors:
  - { id: motor-earth, class: earth, zone: motor-bay }
operations:
  - { id: op10, do: power-up }
  - { id: op15, do: shut-down }
  - { id: op20, do: disconnect, connectors: [motor-earth] }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'safety',
  needsEveryStep: true,
  *check(subject) {
    const { plan } = subject;
    const opening = earths(plan).flatMap(({ events }) =>
      events.flatMap(({ act, operation }) => (act === 'disconnect' ? [operation] : [])),
    );
    for (const { culprit, first, others } of told(
      subject,
      'earth-powered',
      unmetGroups(plan, 'not-powered', [...new Set(opening)]),
    )) {
      yield {
        at: first.span,
        operation: first.id,
        message: say`${named(first)} opens an earth connection while the vehicle may be powered: its current takes another way back, and the lifted end can arc. Shut the vehicle down before ${first.id}.`,
        trace: [
          ...(culprit
            ? [traceAt(culprit, say`${named(culprit)}: the vehicle may be powered from here`)]
            : []),
          ...alsoAt(others),
        ],
      };
    }
  },
};

const earths = historiesWhere(({ connector, unsure }) => !unsure && connector.class === 'earth');
