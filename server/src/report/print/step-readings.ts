import { quantityText } from '../../heat/text.ts';
import { capital, joined, say } from '../../language/phrase.ts';
import type { Phrase, Value } from '../../language/phrase.ts';
import { insulationLimit, unstatedJoinedRule, voltageKind } from '../../plan/high-voltage.ts';
import type { Operation } from '../../plan/operations.ts';
import type { Plan } from '../../plan/plan.ts';
import { readQuantity, readText } from '../../plan/read.ts';
import type { Connector } from '../../plan/scope.ts';
import { bondingBelow, highVoltageAbove } from '../../plan/tables/electrical-safety.ts';
import type { VoltageKind } from '../../plan/tables/electrical-safety.ts';
import { html } from './html.ts';
import type { Content, Markup } from './html.ts';
import { blankLine, box } from './page.ts';

/** What the step wants written down, each reading beside the value at which work stops and where that comes from. */
export function stepReadings(plan: Plan, operation: Operation): Content {
  const { limited, others } = asked(plan, operation);
  if (plan.scope.policy.photos.includes(operation.taskId)) others.unshift(box(say`photo taken`));
  if (limited.length + others.length === 0) return undefined;
  return html`<div class="readings">
    ${limited}${others.length > 0 && html`<p>${others}</p>`}
    ${limited.length > 0 && html`<p class="note">${permitsNothing}</p>`}
  </div>`;
}

const permitsNothing = say`No reading permits anything by itself: the vehicle maker's procedure and a qualified technician decide.`;

const kindWords: Readonly<Record<VoltageKind, Phrase>> = { direct: say`DC`, alternating: say`AC` };

interface Asked {
  /** Readings with a value at which work stops, a line each. */
  readonly limited: Content[];
  /** Boxes and blanks without one. */
  readonly others: Markup[];
}

function asked(plan: Plan, { taskId, connectors, step, bindings }: Operation): Asked {
  const named = connectors.map(({ value }) => [value, plan.scope.connectors.get(value)] as const);
  switch (taskId) {
    case 'prove-dead': {
      const rating = readQuantity('voltage', step.node.get('meter-rating'), bindings)?.text;
      const place = readText(step.node.get('proven-at'), bindings)?.value;
      const points = [say`plus to minus`, say`plus to vehicle body`, say`minus to vehicle body`];
      return {
        limited: [
          html`<p>
            ${blankLine(rating === undefined ? say`meter number` : say`meter number (${rating} or more)`)}${box(say`meter proven before`)}
          </p>`,
          place === undefined
            ? html`<p>${blankLine(say`measured at`)}</p>`
            : html`<p>${say`Measured at: ${place}`}</p>`,
          ...points.map((point) => reading(point, 'V')),
          html`<p class="limit">${stopAbove(voltageKind(plan))}</p>`,
          html`<p>${box(say`meter proven after`)}</p>`,
        ],
        others: [],
      };
    }
    case 'measure-resistance':
      return {
        limited: limitedReadings(
          'mΩ',
          named.map(([id, connector]) => [id, contactLimit(connector)]),
        ),
        others: [blankLine(say`uncertainty`, 'mΩ'), blankLine(say`meter number`)],
      };
    case 'measure-insulation':
      return {
        limited: limitedReadings(
          'MΩ',
          named.map(([id, connector]) => [id, insulationStop(plan, connector)]),
        ),
        others: [blankLine(say`test voltage`, 'V')],
      };
    case 'measure-bonding':
      return {
        limited: limitedReadings(
          'mΩ',
          named.map(([id]) => [id, bondingLimit]),
        ),
        others: [],
      };
    case 'wait':
      return { limited: [], others: [blankLine(say`from`), blankLine(say`to`)] };
    case 'lock-out':
      return { limited: [], others: [blankLine(say`lock or key number`)] };
    case 'scan':
      return { limited: [], others: [blankLine(say`fault codes found and cleared`, '', 'long')] };
    case 'check-seated':
      return { limited: [], others: named.map(([id]) => box(id)) };
    default:
      return { limited: [], others: [] };
  }
}

/** A line for each reading; a limit that all of them share is said once. */
function limitedReadings(unit: Value, readings: readonly (readonly [Value, Phrase])[]): Content[] {
  const [first] = readings;
  if (!first || readings.length < 2 || readings.some(([, limit]) => String(limit) !== String(first[1])))
    return readings.map(([label, limit]) => reading(label, unit, limit));
  return [
    ...readings.map(([label]) => reading(label, unit)),
    html`<p class="limit">${capital(first[1])}</p>`,
  ];
}

const reading = (label: Value, unit: Value, limit?: Phrase): Markup =>
  html`<p class="reading">${blankLine(label, unit)}${limit && html`<span class="limit">${limit}</span>`}</p>`;

const noLimit = say`the plan states no limit`;

/** Where a stated value comes from: the source that the connector's entry names. */
const sourceOf = (connector: Connector | undefined): Phrase =>
  connector?.source === undefined ? say`stated without a source` : joined([connector.source]);

/** The value above which the contact is refused; none is invented. */
function contactLimit(connector: Connector | undefined): Phrase {
  const limit = connector?.resistance.limit?.text;
  return limit === undefined ? noLimit : say`stop above ${limit} (${sourceOf(connector)})`;
}

interface Least {
  readonly value: Phrase;
  readonly whence: Phrase;
}

/**
 * The stricter of the vehicle maker's limit and the regulation's; where nobody says how the AC side is protected, the
 * regulation's stricter value. None is invented.
 */
export function leastInsulation(plan: Plan, connector: Connector | undefined): Least | undefined {
  const limit = insulationLimit(plan, connector);
  if (!limit) return undefined;
  if (limit.stated) return { value: joined([limit.stated.text]), whence: sourceOf(connector) };
  const { perVolt, voltage } = unstatedJoinedRule(plan, connector) ?? limit.byRule!;
  return {
    value: quantityText(perVolt * voltage.si, 'Ω'),
    whence: say`${perVolt} Ω/V at ${voltage.text} ${kindWords[voltageKind(plan)]}, UN R100; a higher value of the vehicle maker takes precedence`,
  };
}

function insulationStop(plan: Plan, connector: Connector | undefined): Phrase {
  const least = leastInsulation(plan, connector);
  return least ? say`stop below ${least.value} (${least.whence})` : noLimit;
}

const bondingLimit = say`stop at ${1000 * bondingBelow} mΩ or more (UN R100; a lower value of the vehicle maker takes precedence)`;

/** Proving dead: the voltage at which high voltage begins stops the work; nothing below it lets anybody begin. */
const stopAbove = (kind: VoltageKind): Phrase =>
  say`Stop if any reading is above ${highVoltageAbove[kind]} V ${kindWords[kind]} (where high voltage begins, UN R100), is above the vehicle maker's lower value, or changes.`;
