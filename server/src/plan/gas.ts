/** Fuel under pressure on board: hydrogen, natural gas, LPG. */
import type { Plan } from './plan.ts';
import { gases } from './tables/fluids.ts';
import type { Medium } from './tables/fluids.ts';

export const isGas = (medium: Medium | undefined): boolean => medium !== undefined && gases.has(medium);

/** A tank of gas is on board, by the drive or by a line of the plan. */
export const carriesGas = ({ vehicle, scope }: Plan): boolean =>
  vehicle?.node.get('propulsion')?.value === 'fuel-cell' ||
  [...scope.connectors.values()].some(({ class: kind, medium }) => kind === 'fluid-line' && isGas(medium));

/** Whether work at these connectors is work at gas; without a connector, at all that is on board. */
export const concernsGas = (plan: Plan, connectors: readonly string[]): boolean =>
  connectors.length > 0
    ? connectors.some((id) => isGas(plan.scope.connectors.get(id)?.medium))
    : carriesGas(plan);
