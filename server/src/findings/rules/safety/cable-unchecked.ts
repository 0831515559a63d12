import type { Operation } from '../../../plan/operations.ts';
import { mayCarryHighVoltage } from '../../../plan/high-voltage.ts';
import { ConnectorFacts } from '../../../sequence/facts/timeline.ts';
import { onHighVoltage } from '../../support/high-voltage.ts';
import { someOf } from '../../support/needs.ts';
import { traceAt, named, ofConnectors } from '../../support/words.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, plansOnly } from '../../finding.ts';

export const cableUnchecked: FindingRule = {
  id: 'cable-unchecked',
  title: say`Work at high-voltage cables, and nobody looks at them before power-up`,
  severity: 'warning',
  page: () => ({
    means: say`Metal is cut, drilled, ground, welded or straightened in the zone of a high-voltage connector that the plan never opens, and neither a look at it nor an insulation measurement follows before the vehicle is used. Of a connector that is opened, the measurement is told by itself.`,
    why: say`A nicked or scorched orange cable lies behind the trim and puts the traction voltage on the body.`,
    whatToDo: say`Have a high-voltage technician inspect the connector with its cable after the work (\`inspect\`), or measure its insulation, while the system is proven dead, as the vehicle maker specifies. A nicked cable may be live.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op50, do: cut, zone: rear-floor }
  - { id: op90, do: power-up }
`,
      right: `operations:
  - { id: op50, do: cut, zone: rear-floor }
  - { id: op60, do: inspect, connectors: [inverter-dc] }
  - { id: op90, do: power-up }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'order',
  needsEveryStep: true,
  *check({ plan, sequence }) {
    const { order, gates } = sequence;
    const found = new Map<Operation, { ids: string[]; gate: Operation }>();
    for (const life of onHighVoltage(plan)) {
      const { connector, events } = life;
      if (connector.class !== 'high-voltage-power' || !mayCarryHighVoltage(plan, connector)) continue;
      if (events.some(({ act }) => act === 'disconnect')) continue;
      const [unmet] = new ConnectorFacts(plan, sequence, life).unmetAt('cable-checked', gates);
      const work = unmet?.verdict.culprits.filter(({ zones }) => zones.length > 0).at(-1);
      if (!unmet || !work) continue;
      const known = found.get(work);
      if (known) known.ids.push(connector.id);
      else found.set(work, { ids: [connector.id], gate: unmet.step });
    }
    for (const [work, { ids, gate }] of [...found].sort(([a], [b]) => order.compare(a, b))) {
      yield {
        at: work.span,
        operation: work.id,
        ...ofConnectors(ids),
        message: say`${named(work)} works where the cables of ${someOf(ids)} run, and nobody looks at them before ${named(gate)}: a nicked cable puts the traction voltage on the body. After ${work.id}, have the cables inspected or their insulation measured while the system is proven dead.`,
        trace: [traceAt(gate, say`${named(gate)}: reached without it`)],
      };
    }
  },
};
