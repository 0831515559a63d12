/** Fuel under pressure on board: hydrogen, natural gas, LPG. */
import type { Plan } from './plan.ts';
import type { Connector } from './scope.ts';
import { gases } from './tables/fluids.ts';

const holdsGas = ({ class: kind, medium }: Connector): boolean =>
  kind === 'fluid-line' && medium !== undefined && gases.has(medium);

/** A tank of gas is on board, by the drive or by a line of the plan. */
export const carriesGas = ({ vehicle, scope }: Plan): boolean =>
  vehicle?.node.get('propulsion')?.value === 'fuel-cell' || [...scope.connectors.values()].some(holdsGas);

/** Whether work at these connectors is work at gas; without a connector, at all that is on board. */
export const concernsGas = (plan: Plan, connectors: readonly string[]): boolean =>
  connectors.length > 0
    ? connectors.some((id) => {
        const connector = plan.scope.connectors.get(id);
        return connector !== undefined && holdsGas(connector);
      })
    : carriesGas(plan);
