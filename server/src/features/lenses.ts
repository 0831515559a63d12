import { billOf } from '../costing/bill.ts';
import { owedLabour, owedMaterials } from '../costing/owed.ts';
import { rangeOf } from '../document/text.ts';
import type { Range } from '../document/text.ts';
import type { Plan } from '../plan/plan.ts';
import { moneyText } from '../report/print/words.ts';
import type { Workspace } from '../workspace/workspace.ts';
import { find } from './check.ts';
import type { Settings } from './check.ts';
import { rootOf } from './names.ts';
import { occurrencesAt } from './navigation.ts';

export interface Lens {
  readonly range: Range;
  readonly title: string;
  /** Places to show when it is chosen, when there are any. */
  readonly places: readonly Range[];
}

const counted = (count: number, word: string): string => `${count} ${word}${count === 1 ? '' : 's'}`;

/**
 * What a plan comes to and what its missing lines are worth, at its top; what is wrong with the steps and which lines
 * they still owe, above `operations`; who uses a file, at its top.
 */
export function lenses(workspace: Workspace, uri: string, settings: Settings = {}): Lens[] {
  const plan = workspace.plan(uri);
  const root = plan && rootOf(plan.document);
  const first = root?.entries[0];
  if (!plan || !root || !first || first.keySpan.origin.uri !== uri) return [];
  const found: Lens[] = [];
  const head = rangeOf(first.keySpan);
  if (plan.document.kind !== 'repair-plan') {
    const users = workspace
      .dependents(uri)
      .filter((other) => other !== uri && workspace.document(other)?.kind === 'repair-plan');
    const value = first.value.kind === 'scalar' ? rangeOf(first.value.span).start : head.start;
    const places =
      plan.document.kind === 'shop-procedure' ? (occurrencesAt(workspace, uri, value)?.references ?? []) : [];
    const own = places.filter(({ uri: other }) => users.includes(other));
    found.push({
      range: head,
      title: users.length === 0 ? 'used by no plan here' : `used by ${counted(users.length, 'plan')}`,
      places: own,
    });
    return found;
  }
  const money = moneyLens(plan, head);
  if (money) found.push(money);
  const operations = root.entry('operations');
  if (!operations || operations.keySpan.origin.uri !== uri) return found;
  const range = rangeOf(operations.keySpan);
  const diagnoses = find(workspace, uri, settings).map(({ diagnosis }) => diagnosis);
  const { start, end } = { start: range.start, end: rangeOf(operations.value.span).end };
  const inside = diagnoses.filter((one) => one.range.start >= start && one.range.end <= end);
  const grave = inside.filter(({ severity }) => severity === 'error').length;
  const said = inside.length === 0 ? 'no findings' : counted(inside.length, 'finding');
  found.push({
    range,
    title: grave > 0 ? `${said}, ${grave} grave` : said,
    places: inside.map((one) => one.range),
  });
  const labour = owedLabour(plan).filter(({ written }) => written.length === 0);
  const materials = owedMaterials(plan).filter(({ written }) => written.length === 0);
  const lines = [
    labour.length > 0 ? counted(labour.length, 'labour line') : '',
    materials.length > 0 ? counted(materials.length, 'material line') : '',
  ].filter(Boolean);
  if (lines.length > 0) {
    const steps = [...new Set([...labour, ...materials].map(({ step }) => step))];
    found.push({
      range,
      title: `${lines.join(' and ')} missing`,
      places: steps.map(({ span }) => rangeOf(span)),
    });
  }
  return found;
}

function moneyLens(plan: Plan, range: Range): Lens | undefined {
  const money = moneyOf(plan);
  return money && { range, title: money.title, places: money.places };
}

/**
 * What a plan comes to, and what its missing lines are worth, alone and with the total. Absent without a rate sheet, and
 * while the text is too damaged to say what is missing.
 */
export function moneyOf(plan: Plan): { title: string; short: string; places: readonly Range[] } | undefined {
  const { sheet, net, stake } = billOf(plan);
  if (!stake || sheet.currency === undefined || sheet.decimals === undefined) return undefined;
  const missing = [...stake.labour, ...stake.materials];
  const open = net.open > 0 ? ` without ${counted(net.open, 'open line')}` : '';
  const unknown = stake.open > 0 ? `, and ${counted(stake.open, 'line')} of unknown worth` : '';
  const amount = moneyText(stake.amount, sheet);
  const atStake =
    missing.length === 0
      ? 'nothing at stake'
      : `${amount} at stake in ${counted(missing.length, 'missing line')}${unknown}`;
  return {
    title: `${moneyText(net.amount, sheet)} ${sheet.currency} before tax${open}; ${atStake}`,
    short:
      missing.length === 0
        ? 'nothing at stake'
        : `${amount} ${sheet.currency}${stake.open > 0 ? ' and more' : ''} at stake`,
    places: [...new Set(missing.map(({ step }) => step))].map(({ span }) => rangeOf(span)),
  };
}
