import { rangeOf } from '../document/text.ts';
import { toSI } from '../document/quantity.ts';
import { estimateHeat } from '../heat/estimate.ts';
import { quantityText } from '../heat/text.ts';
import type { Workspace } from '../workspace/workspace.ts';
import { textOf } from './names.ts';

export interface Hint {
  readonly offset: number;
  readonly label: string;
  readonly tooltip: string;
}

/** Which hints are wanted; all of them are off unless the settings ask for them. */
export interface HintSettings {
  /** The step that is waited for, where none is written. */
  readonly order?: boolean;
  /** Minutes behind hours. */
  readonly duration?: boolean;
  /** Watts at steady current behind a resistance. */
  readonly heat?: boolean;
}

/** What the text means but does not say, between two offsets. */
export function hints(
  workspace: Workspace,
  uri: string,
  start: number,
  end: number,
  settings: HintSettings,
): Hint[] {
  const plan = workspace.plan(uri);
  if (!plan) return [];
  const found: Hint[] = [];
  const inside = (offset: number): boolean => offset >= start && offset <= end;
  plan.steps.forEach((step, i) => {
    if (step.span.origin.uri !== uri) return;
    const at = rangeOf(step.span).end;
    const above = plan.steps[i - 1];
    if (settings.order && !step.after && above && inside(at)) {
      found.push({
        offset: at,
        label: ` after ${above.id}`,
        tooltip: 'No `after:` is written, so the step waits for the one above it.',
      });
    }
    const time = step.node.get('time');
    const seconds = time && !time.bad ? toSI('time', time.value) : undefined;
    const written = String(time?.value ?? '');
    if (
      settings.duration &&
      time &&
      seconds !== undefined &&
      /\dh$|\d h$/.test(written) &&
      time.span.origin.uri === uri
    ) {
      const offset = rangeOf(time.span).end;
      if (inside(offset))
        found.push({
          offset,
          label: ` = ${Math.round(seconds / 60)} min`,
          tooltip: 'The same time in minutes.',
        });
    }
  });
  if (!settings.heat) return found;
  for (const { connector, node, kind } of plan.measurements) {
    const value = node.get('value');
    if (kind !== 'contact-resistance' || !value || value.bad || value.span.origin.uri !== uri) continue;
    watts(connector.value, value.value, rangeOf(value.span).end);
  }
  for (const connector of plan.scope.connectors.values()) {
    for (const entry of connector.nodes) {
      const resistance = entry.get('resistance');
      if (!resistance || resistance.span.origin.uri !== uri) continue;
      for (const key of ['as-new', 'limit'] as const) {
        const value = textOf(resistance as never, key);
        const node = resistance.get(key);
        if (value !== undefined && node && !node.bad) watts(connector.id, value, rangeOf(node.span).end);
      }
    }
  }
  return found.sort((a, b) => a.offset - b.offset);

  function watts(id: string, resistance: string, offset: number): void {
    const steady = plan!.scope.connectors.get(id)?.current.steady;
    const limit = toSI('resistance', resistance);
    if (!steady || limit === undefined || !inside(offset)) return;
    const heat = estimateHeat({ steady: steady.si, limit }).rows.find(({ key }) => key === 'limit')?.steady;
    if (heat === undefined) return;
    found.push({
      offset,
      label: ` ≈ ${quantityText(heat, 'W')} at ${steady.text}`,
      tooltip:
        "An estimate of the heat at steady current, for planning; the vehicle maker's limit and procedure decide.",
    });
  }
}
