import { reasonText } from '../../heat/assumptions.ts';
import { estimateConnectorHeat } from '../../heat/connector-heat.ts';
import { ESTIMATE_NOTE } from '../../heat/estimate.ts';
import type { Plan } from '../../plan/plan.ts';
import type { Connector } from '../../plan/scope.ts';
import { jsonText } from '../listing/json-text.ts';

/**
 * The heat estimates of connectors as JSON, in SI units without prefixes, temperatures in kelvin. What cannot be told
 * is absent. Keys are added in later versions, never renamed or removed while `format` is 1.
 */
export function heatJson(
  plan: Plan,
  connectors: readonly Connector[],
  options: { readonly version: string },
): string {
  const report = {
    tool: { name: 'plugward', version: options.version },
    format: 1,
    note: String(ESTIMATE_NOTE),
    units: {
      resistance: 'Ω',
      heat: 'W',
      current: 'A',
      voltage: 'V',
      temperature: 'K',
      time: 's',
      length: 'm',
    },
    connectors: connectors.map((connector) => {
      const { given, assumptions, rows, clean, judgement, largestResistance, cycle, cable, model } =
        estimateConnectorHeat(plan, connector);
      const { id, name, zone } = connector;
      return {
        id,
        name,
        class: connector.class ?? null,
        zone: zone ?? null,
        given,
        // Words are phrases; JSON says them in English, as its keys are.
        assumptions: assumptions.map((assumption) => ({
          ...assumption,
          name: String(assumption.name),
          reason: String(reasonText(assumption)),
          brief: String(assumption.brief),
        })),
        rows,
        clean: clean ?? null,
        judgement: judgement ? { ...judgement, rule: String(judgement.rule) } : null,
        largestResistance,
        cycle: cycle ?? null,
        cable: cable ?? null,
        model,
      };
    }),
  };
  return `${jsonText(report)}\n`;
}
