/** Hands on the vehicle while a step is under way that must be done alone. */
import type { Operation } from '../../plan/operations.ts';
import type { Plan } from '../../plan/plan.ts';
import type { OperationOrder } from '../../sequence/operation-order.ts';

export interface Beside {
  /** Hands-on steps that nothing orders before or after the step. */
  readonly all: readonly Operation[];
  /** Those among them on high voltage or restraints, where a surprise does the most harm. */
  readonly dangerous: readonly Operation[];
}

/**
 * @param harmless steps that belong to the step itself
 */
export function handsBeside(
  plan: Plan,
  order: OperationOrder,
  step: Operation,
  harmless: (other: Operation) => boolean = () => false,
): Beside {
  const all = plan.operations.filter(
    (other) =>
      other !== step && other.task?.handsOn === true && !harmless(other) && order.unordered(step, other),
  );
  return { all, dangerous: all.filter((other) => handlesDanger(plan, other)) };
}

const handlesDanger = ({ scope }: Plan, { connectors }: Operation): boolean =>
  connectors.some(({ value }) => {
    const kind = scope.connectors.get(value)?.class;
    return (
      kind === 'high-voltage-power' || kind === 'interlock' || kind === 'restraint' || kind === 'pyrotechnic'
    );
  });
