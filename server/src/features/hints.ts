import { rangeOf } from '../text/span.ts';
import type { Span } from '../text/span.ts';
import { toSI } from '../document/quantity.ts';
import { jouleHeat, rmsCurrent } from '../heat/joule.ts';
import { quantityText } from '../heat/text.ts';
import { say } from '../language/phrase.ts';
import type { Phrase } from '../language/phrase.ts';
import type { Connector } from '../plan/scope.ts';
import type { Workspace } from '../workspace/workspace.ts';
import type { Settings } from './check.ts';
import { localize } from './in-words.ts';

export interface Hint {
  readonly offset: number;
  readonly label: string;
  readonly tooltip: string;
}

/** Which hints are wanted; all of them are off unless the settings ask for them. */
export interface HintSettings {
  /** The step that is waited for, where none is written. */
  readonly order?: boolean;
  /** Minutes, after hours. */
  readonly duration?: boolean;
  /**
   * Watts: after a resistance, at the steady current; after a current, at the highest accepted resistance.
   */
  readonly heat?: boolean;
}

/** Inlay hints between two offsets: facts implied by the text. */
export function hints(
  workspace: Workspace,
  uri: string,
  start: number,
  end: number,
  wanted: HintSettings,
  settings: Settings = {},
): Hint[] {
  return found(workspace, uri, start, end, wanted).map(({ offset, label, tooltip }) => ({
    offset,
    label: localize(label, settings),
    tooltip: localize(tooltip, settings),
  }));
}

interface UnrenderedHint {
  readonly offset: number;
  readonly label: Phrase;
  readonly tooltip: Phrase;
}

function found(
  workspace: Workspace,
  uri: string,
  start: number,
  end: number,
  wanted: HintSettings,
): UnrenderedHint[] {
  const plan = workspace.plan(uri);
  if (!plan) return [];
  const found: UnrenderedHint[] = [];
  const inside = (offset: number): boolean => offset >= start && offset <= end;
  plan.steps.forEach((step, i) => {
    if (step.span.origin.uri !== uri) return;
    const at = rangeOf(step.span).end;
    const above = plan.steps[i - 1];
    if (wanted.order && !step.after && above && inside(at)) {
      found.push({
        offset: at,
        label: say` after ${above.id}`,
        tooltip: say`No \`after:\` is written, so the step waits for the one above it.`,
      });
    }
    const time = step.node.get('time');
    const seconds = time && !time.rejectedBySchema ? toSI('time', time.value) : undefined;
    const written = String(time?.value ?? '');
    if (
      wanted.duration &&
      time &&
      seconds !== undefined &&
      /\dh$|\d h$/.test(written) &&
      time.span.origin.uri === uri
    ) {
      const offset = rangeOf(time.span).end;
      if (inside(offset))
        found.push({
          offset,
          label: say` = ${Math.round(seconds / 60)} min`,
          tooltip: say`The same time in minutes.`,
        });
    }
  });
  if (!wanted.heat) return found;
  for (const { connector, node, kind } of plan.measurements) {
    const value = node.get('value');
    if (kind !== 'contact-resistance' || !value || value.rejectedBySchema || value.span.origin.uri !== uri)
      continue;
    watts(connector.value, value.value, rangeOf(value.span).end);
  }
  for (const connector of plan.scope.connectors.values()) {
    for (const entry of connector.nodes) {
      const resistance = entry.get('resistance');
      for (const key of ['as-new', 'limit'] as const) {
        const value = readable(resistance?.get(key));
        if (value) watts(connector.id, value.text, value.end);
      }
      const current = entry.get('current');
      for (const key of ['steady', 'peak'] as const) {
        const value = readable(current?.get(key));
        if (value) wattsOf(connector, toSI('current', value.text), value.end);
      }
    }
    const cycle = connector.current.dutyCycle;
    if (cycle?.span.origin.uri === uri) meanWatts(connector, rangeOf(cycle.span).end);
  }
  return found.sort((a, b) => a.offset - b.offset);

  function readable(
    node: { readonly rejectedBySchema?: unknown; readonly value: unknown; readonly span: Span } | undefined,
  ): { text: string; end: number } | undefined {
    if (!node || node.rejectedBySchema || node.span.origin.uri !== uri) return undefined;
    return { text: String(node.value), end: rangeOf(node.span).end };
  }

  function watts(id: string, resistance: string, offset: number): void {
    const connector = plan!.scope.connectors.get(id);
    const steady = connector?.current.steady;
    if (steady) {
      put(
        steady.si,
        toSI('resistance', resistance),
        (heat) => say` ≈ ${heat} at ${steady.text}`,
        say`An estimate of the heat at steady current, for planning, not a measurement; the vehicle maker's limit and procedure decide.`,
        offset,
      );
    } else if (connector) {
      const meanHeat = (heat: Phrase): Phrase => say` ≈ ${heat} as mean of the cycle`;
      put(meanOf(connector), toSI('resistance', resistance), meanHeat, aboutCycle, offset);
    }
  }

  function meanWatts(connector: Connector, offset: number): void {
    const { limit, asNew } = connector.resistance;
    const atLimit = (heat: Phrase): Phrase => say` ≈ ${heat} as mean, at the limit of ${limit!.text}`;
    const whenNew = (heat: Phrase): Phrase => say` ≈ ${heat} as mean when new, at ${asNew!.text}`;
    put(meanOf(connector), (limit ?? asNew)?.si, limit ? atLimit : whenNew, aboutCycle, offset);
  }

  function wattsOf(
    { resistance: { limit, asNew } }: Connector,
    amps: number | undefined,
    offset: number,
  ): void {
    if (limit) {
      put(
        amps,
        limit.si,
        (heat) => say` ≈ ${heat} at the limit of ${limit.text}`,
        say`An estimate of the heat at this current, at the limit of ${limit.text}, for planning, not a measurement; the vehicle maker's limit and procedure decide.`,
        offset,
      );
    } else if (asNew) {
      put(
        amps,
        asNew.si,
        (heat) => say` ≈ ${heat} as new, at ${asNew.text}`,
        say`An estimate of the heat at this current, as new, at ${asNew.text}, for planning, not a measurement; the vehicle maker's limit and procedure decide.`,
        offset,
      );
    }
  }

  function put(
    current: number | undefined,
    resistance: number | undefined,
    label: (heat: Phrase) => Phrase,
    tooltip: Phrase,
    offset: number,
  ): void {
    if (!inside(offset) || current === undefined || resistance === undefined) return;
    const heat = jouleHeat(current, resistance);
    // Values beyond this are taken for typos.
    if (!(heat > 0) || heat > 1e12) return;
    found.push({ offset, label: label(quantityText(heat, 'W')), tooltip });
  }
}

const aboutCycle = say`An estimate of the mean heat over the duty cycle, for planning, not a measurement; the vehicle maker's limit and procedure decide.`;

/** The steady current that gives the mean heat of a connector's duty cycle. Unit: A. */
function meanOf({ current: { dutyCycle } }: Connector): number | undefined {
  const pieces = (dutyCycle?.phases ?? []).map(({ current, time }) => ({
    current: current.si,
    duration: time.si,
  }));
  const sound = pieces.every(({ duration }) => duration >= 0) && pieces.some(({ duration }) => duration > 0);
  return sound ? rmsCurrent(pieces) : undefined;
}
