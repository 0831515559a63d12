/** Fuel under pressure on board: hydrogen, natural gas, LPG. */
import type { Plan } from './plan.ts';
import type { Connector } from './scope.ts';
import { gases } from './tables/fluids.ts';
import { letsOutByFact } from './tables/needs.ts';
import type { Task } from './tables/tasks.ts';

const holdsGas = ({ class: kind, medium }: Connector): boolean =>
  kind === 'fluid-line' && medium !== undefined && gases.has(medium);

/** A tank of gas is on board, by the drive or by a line of the plan. */
export const carriesGas = ({ vehicle, scope }: Plan): boolean =>
  vehicle?.node.get('propulsion')?.value === 'fuel-cell' || [...scope.connectors.values()].some(holdsGas);

/** Whether a task of the shop's own lets fuel or gas out, by what its row makes; of lines that the step names, or of the vehicle. */
export const letsOutByRow = (task: Task | undefined, connectors: readonly string[]): boolean =>
  task?.makes.some((fact) => letsOutByFact[connectors.length > 0 ? 'line' : 'vehicle'].has(fact)) ?? false;

/** Whether work at these connectors is work at gas; without a connector, at all that is on board. */
export const concernsGas = (plan: Plan, connectors: readonly string[]): boolean =>
  connectors.length > 0
    ? connectors.some((id) => {
        const connector = plan.scope.connectors.get(id);
        return connector !== undefined && holdsGas(connector);
      })
    : carriesGas(plan);
