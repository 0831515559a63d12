import { andList, say } from '../../../language/phrase.ts';
import { mayHaveHighVoltage } from '../../../plan/high-voltage.ts';
import type { CheckContext, FindingReport, FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';
import { safetyUnsure } from '../../support/high-voltage.ts';
import { alsoAt, andAt, told, unmetGroups } from '../../support/needs.ts';
import { dutyCheck } from '../../support/unproven.ts';
import { named } from '../../support/words.ts';

export const insulationUnproven: FindingRule = {
  id: 'insulation-unproven',
  title: say`High voltage closed, and its insulation not measured`,
  severity: 'error',
  page: () => ({
    means: say`A high-voltage power connector is closed, and nothing measures the insulation resistance of the system before the vehicle is powered up, moved, road-tested or handed over; or the vehicle came in wet or with high-voltage damage (\`arrived-as\`), and nothing measures any insulation before that.`,
    why: say`A pinched cable, water or metal debris in the connector can put the traction voltage on the vehicle body. Either a measurement finds it, or the first person who touches two parts of the vehicle.`,
    whatToDo: say`Measure the insulation after closing and locking, before power-up, as the vehicle maker specifies.`,
    source: say`common practice; by analogy, 49 CFR 571.305: after a crash test the isolation of the high-voltage system is measured`,
    example: {
      wrong: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op60, do: reconnect, connectors: [inverter-dc] }
  - { id: op90, do: power-up }
`,
      right: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
  - { id: op60, do: reconnect, connectors: [inverter-dc] }
  - { id: op70, do: measure-insulation, connectors: [inverter-dc] }
  - { id: op90, do: power-up }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'safety',
  *check(subject) {
    yield* afterClosing(subject);
    yield* afterWaterOrDamage(subject);
  },
};

const afterClosing = dutyCheck({
  fact: 'insulation-proven',
  task: 'measure-insulation',
  proof: say`the insulation measurement`,
  place: 'after-work',
  severity: () => 'error',
  title: (connectors) => say`Measure the insulation of ${connectors}`,
  message: (ids, closing, until) =>
    say`${closing} closes ${andList(ids)}, and nobody measures the insulation ${until}. A pinched cable can put the traction voltage on the vehicle body: measure before power-up.`,
});

/** A vehicle that came in wet or damaged, powered up as it is. */
function* afterWaterOrDamage(subject: CheckContext): Generator<FindingReport> {
  const { plan, sequence } = subject;
  if (safetyUnsure(plan) || !mayHaveHighVoltage(plan)) return;
  const groups = unmetGroups(plan, 'insulation-measured', sequence.gates);
  for (const { first, others } of told(subject, 'insulation-unproven', groups)) {
    yield {
      at: first.span,
      operation: first.id,
      message: say`${named(first)} comes, and nobody measures the insulation of a vehicle that came in wet or damaged: water or a crushed cable can put the traction voltage on the vehicle body. Have the insulation measured before ${first.id}, as the vehicle maker specifies.`,
      ...andAt(others),
      trace: alsoAt(others),
    };
  }
}
