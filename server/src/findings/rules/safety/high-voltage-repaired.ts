import { repairsByName, repairsByNote, namesHighVoltage } from '../../../base/repair-words.ts';
import { say } from '../../../language/phrase.ts';
import type { Phrase } from '../../../language/phrase.ts';
import { highVoltageOf, mayHaveHighVoltage } from '../../../plan/high-voltage.ts';
import type { Operation } from '../../../plan/operations.ts';
import { operationsWhere } from '../../../plan/plan.ts';
import type { Plan } from '../../../plan/plan.ts';
import { readText } from '../../../plan/read.ts';
import {
  bridgesByName,
  dischargesBatteryByName,
  namesInterlock,
  shortsByName,
} from '../../../plan/tables/own-names.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';
import { opensBattery } from '../../support/battery.ts';
import { someOf } from '../../support/needs.ts';
import { isOwnTask } from '../../support/tools.ts';
import { named, ofConnectors } from '../../support/words.ts';

export const highVoltageRepaired: FindingRule = {
  id: 'high-voltage-repaired',
  title: say`A high-voltage cable repaired, an interlock bridged or a battery opened`,
  severity: 'error',
  page: () => ({
    means: say`By its name, a task of the shop's own repairs a high-voltage cable or connector (splice, solder, tape, glue, file its contacts, use a burnt one again and the like), bridges the interlock loop, discharges capacitors by hand, or opens or discharges the traction battery, and the step names no source of the vehicle maker's procedure for that (\`maker-procedure\`). Where the note of a step speaks of repairing a high-voltage cable, it is a warning.`,
    why: say`A repaired cable runs hot or lets its voltage out, behind trim where nobody looks. A bridged interlock no longer switches the system off when a plug is pulled. The cells of a traction battery stay live after every proof.`,
    whatToDo: say`Have the cable or the connector replaced as a whole part. Do otherwise only where the vehicle maker's procedure says how, and name its source as \`maker-procedure\` in the step.`,
    source: say`common practice; published service manuals of vehicle makers forbid repairs of high-voltage wiring, connectors and terminals, and have the whole cable or part replaced`,
    example: {
      wrong: `connectors:
  - { id: motor-cable, class: high-voltage-power, zone: motor-bay }
operations:
  - { id: op10, do: isolate }
  - { id: op12, do: lock-out }
  - { id: op14, do: wait, time: 5 min }
  - { id: op16, do: prove-dead, meter-proven: before-and-after }
  - { id: op30, do: splice-cable, connectors: [motor-cable] }
uses: [./example.rate-sheet.yaml, ./tasks.rate-sheet.yaml]
`,
      right: `connectors:
  - { id: motor-cable, class: high-voltage-power, zone: motor-bay }
sources:
  - { id: S1, title: Cable repair of the Kestrel (invented), publisher: vehicle-maker, consulted: 2027-02-03 }
operations:
  - { id: op10, do: isolate }
  - { id: op12, do: lock-out }
  - { id: op14, do: wait, time: 5 min }
  - { id: op16, do: prove-dead, meter-proven: before-and-after }
  - { id: op30, do: splice-cable, connectors: [motor-cable], maker-procedure: S1 }
uses: [./example.rate-sheet.yaml, ./tasks.rate-sheet.yaml]
`,
    },
  }),
  kinds: plansOnly,
  ground: 'safety',
  needsEveryStep: true,
  *check({ plan }) {
    for (const operation of suspicious(plan)) {
      if (readText(operation.step.node.get('maker-procedure'), operation.bindings)) continue;
      const orange = highVoltageOf(plan, operation);
      const told = byName(plan, operation, orange);
      const message = told ?? byNote(plan, operation, orange);
      if (!message) continue;
      yield {
        at: operation.span,
        operation: operation.id,
        ...ofConnectors(orange),
        ...(told ? {} : { severity: 'warning' as const }),
        message,
      };
    }
  },
};

const noteOf = ({ step, bindings }: Operation): string | undefined =>
  readText(step.node.get('note'), bindings)?.value;

/** Steps of the shop's own tasks, and those whose note speaks of repair. */
const suspicious = operationsWhere(
  (operation) => isOwnTask(operation) || repairsByNote(noteOf(operation) ?? '') !== undefined,
);

function byName(plan: Plan, operation: Operation, orange: readonly string[]): Phrase | undefined {
  const { task, taskId, connectors } = operation;
  if (!isOwnTask(operation) || !mayHaveHighVoltage(plan)) return undefined;
  const onLoop = connectors.some(({ value }) => plan.scope.connectors.get(value)?.class === 'interlock');
  if (bridgesByName(taskId) && (onLoop || namesInterlock(taskId)))
    return say`${named(operation)} bridges the interlock loop by its name: pulling a plug then no longer switches the high voltage off. Leave the loop whole, or name the source of the vehicle maker's procedure as \`maker-procedure: …\` in ${operation.id}.`;
  // Tape that covers open halves repairs nothing.
  const repairs = repairsByName(taskId) && !task!.makes.includes('protected');
  if (repairs && orange.length > 0)
    return say`${named(operation)} repairs ${someOf(orange)} by its name: a repaired high-voltage cable runs hot or lets its voltage out. Have the whole part replaced, or name the source of the vehicle maker's procedure as \`maker-procedure: …\` in ${operation.id}.`;
  if (repairs && namesHighVoltage(taskId))
    return say`${named(operation)} repairs a high-voltage part by its name: a repaired high-voltage cable runs hot or lets its voltage out. Have the whole part replaced, or name the source of the vehicle maker's procedure as \`maker-procedure: …\` in ${operation.id}.`;
  // A wait that the shop calls so is none.
  if (shortsByName(taskId) && !task!.makes.some((fact) => fact === 'waited' || fact === 'discharged'))
    return say`By its name, ${named(operation)} discharges capacitors by hand: a short throws molten metal, and what is left charged kills. Wait as the vehicle maker specifies and prove the system dead, or name the source of the vehicle maker's procedure as \`maker-procedure: …\` in ${operation.id}.`;
  if (opensBattery(plan, operation))
    return say`${named(operation)} opens the traction battery by its name, and its cells stay live after every proof. Leave that to people whom the vehicle maker has trained for it, and name the source of the procedure as \`maker-procedure: …\` in ${operation.id}.`;
  if (dischargesBatteryByName(taskId))
    return say`${named(operation)} discharges the traction battery by its name: it gets hot, and its cells stay live after every proof. Leave that to people whom the vehicle maker has trained for it, and name the source of the procedure as \`maker-procedure: …\` in ${operation.id}.`;
  return undefined;
}

function byNote(plan: Plan, operation: Operation, orange: readonly string[]): Phrase | undefined {
  const repaired = repairsByNote(noteOf(operation) ?? '');
  if (repaired === undefined || !mayHaveHighVoltage(plan)) return undefined;
  if (repaired === 'cable' && orange.length === 0) return undefined;
  return say`The note of ${named(operation)} speaks of repairing a high-voltage cable: a repaired one runs hot or lets its voltage out. Have the whole part replaced, or name the source of the vehicle maker's procedure as \`maker-procedure: …\` in ${operation.id}.`;
}
