import { billOf } from '../costing/bill.ts';
import { owedLabour, owedMaterials } from '../costing/owed.ts';
import { rangeOf } from '../text/span.ts';
import type { Range } from '../text/span.ts';
import { joined, andList, say } from '../language/phrase.ts';
import type { Phrase } from '../language/phrase.ts';
import type { Plan } from '../plan/plan.ts';
import { plural, linesText, moneyText } from '../report/print/words.ts';
import type { Workspace } from '../workspace/workspace.ts';
import { find } from './check.ts';
import { isFullyChecked } from './prerequisites.ts';
import type { Settings } from './check.ts';
import { localize } from './in-words.ts';
import { rootOf } from './names.ts';
import { occurrencesAt } from './navigation.ts';

export interface Lens {
  readonly range: Range;
  readonly title: string;
  /** Places to show when it is chosen, when there are any. */
  readonly places: readonly Range[];
}

/**
 * The plan's total and the value of its missing lines, at the top; what is wrong with the steps and which
 * lines they still owe, above `operations`; which files use this one, at the top.
 */
export function lenses(workspace: Workspace, uri: string, settings: Settings = {}): Lens[] {
  return worded(workspace, uri, settings).map(({ title, ...lens }) => ({
    ...lens,
    title: localize(title, settings),
  }));
}

type UnrenderedLens = Omit<Lens, 'title'> & { readonly title: Phrase };

function worded(workspace: Workspace, uri: string, settings: Settings): UnrenderedLens[] {
  const plan = workspace.plan(uri);
  const root = plan && rootOf(plan.document);
  const first = root?.entries[0];
  if (!plan || !root || !first || first.keySpan.origin.uri !== uri) return [];
  const found: UnrenderedLens[] = [];
  const head = rangeOf(first.keySpan);
  if (plan.document.kind !== 'repair-plan') {
    const users = workspace
      .dependents(uri)
      .filter((other) => other !== uri && workspace.kind(other) === 'repair-plan');
    const value = first.value.kind === 'scalar' ? rangeOf(first.value.span).start : head.start;
    const places =
      plan.document.kind === 'shop-procedure' ? (occurrencesAt(workspace, uri, value)?.references ?? []) : [];
    // Sorted by name, independent of the order of opening.
    const own = places
      .filter(({ uri: other }) => users.includes(other))
      .sort((a, b) => (a.uri === b.uri ? a.start - b.start : a.uri < b.uri ? -1 : 1));
    found.push({
      range: head,
      title:
        users.length === 0
          ? say`used by no plan here`
          : plural(users.length, say`used by 1 plan`, say`used by ${users.length} plans`),
      places: own,
    });
    return found;
  }
  const money = moneyLens(plan, head);
  if (money) found.push(money);
  const operations = root.entry('operations');
  if (!operations || operations.keySpan.origin.uri !== uri) return found;
  const range = rangeOf(operations.keySpan);
  const findings = find(workspace, uri, settings);
  const failed = findings.filter((one) => one.failed);
  const diagnoses = findings.map(({ diagnosis }) => diagnosis);
  const { start, end } = { start: range.start, end: rangeOf(operations.value.span).end };
  const inside = diagnoses.filter((one) => one.range.start >= start && one.range.end <= end);
  const grave = inside.filter(({ severity }) => severity === 'error').length;
  const said = findingsText(inside.length);
  // Whatever else was found: what was not looked for may be there.
  if (failed.length > 0)
    found.push({ range, title: say`check failed`, places: failed.map(({ diagnosis }) => diagnosis.range) });
  else {
    const title = grave > 0 ? say`${said}, ${grave} serious` : said;
    found.push(
      isFullyChecked(plan)
        ? { range, title, places: inside.map((one) => one.range) }
        : { range, title: notAllChecked(inside.length, title), places: diagnoses.map((one) => one.range) },
    );
  }
  const labour = owedLabour(plan).filter(({ written }) => written.length === 0);
  const materials = owedMaterials(plan).filter(({ written }) => written.length === 0);
  const lines = [
    ...(labour.length > 0
      ? [plural(labour.length, say`1 labour line`, say`${labour.length} labour lines`)]
      : []),
    ...(materials.length > 0
      ? [plural(materials.length, say`1 material line`, say`${materials.length} material lines`)]
      : []),
  ];
  if (lines.length > 0) {
    const steps = [...new Set([...labour, ...materials].map(({ step }) => step))];
    found.push({
      range,
      title: say`${andList(lines)} missing`,
      places: steps.map(({ span }) => rangeOf(span)),
    });
  }
  return found;
}

/** "2 findings". */
export function findingsText(count: number): Phrase {
  return count === 0 ? say`no findings` : plural(count, say`1 finding`, say`${count} findings`);
}

/** The same if a part could not be read: nothing unchecked is called clean. */
export const notAllChecked = (count: number, said: Phrase): Phrase =>
  count === 0 ? say`not fully checked` : joined([said, say`not fully checked`], ', ');

function moneyLens(plan: Plan, range: Range): UnrenderedLens | undefined {
  const money = moneyOf(plan);
  return money && { range, title: money.title, places: money.places };
}

/**
 * The plan's total and the value of its missing lines, alone and with the total. `undefined` without a rate
 * sheet, and while the text is too damaged to determine what is missing.
 */
export function moneyOf(plan: Plan): { title: Phrase; short: Phrase; places: readonly Range[] } | undefined {
  const { sheet, net, stake } = billOf(plan);
  if (!stake || sheet.currency === undefined || sheet.decimals === undefined) return undefined;
  const missing = [...stake.labour, ...stake.materials];
  const total = say`${moneyText(net.amount, sheet)} ${sheet.currency} before tax`;
  const comesTo =
    net.unpricedLines > 0
      ? say`${total} without ${plural(net.unpricedLines, say`1 open line`, say`${net.unpricedLines} open lines`)}`
      : total;
  const amount = moneyText(stake.amount, sheet);
  const lines = plural(missing.length, say`1 missing line`, say`${missing.length} missing lines`);
  const checked = isFullyChecked(plan);
  const atStake =
    missing.length === 0
      ? checked
        ? say`nothing left to bill`
        : say`what is still to bill is not known`
      : stake.unpricedLines > 0
        ? say`${amount} not yet billed in ${lines}, and ${linesText(stake.unpricedLines)} of unknown value`
        : say`${amount} not yet billed in ${lines}`;
  const worth = say`${amount} ${sheet.currency}`;
  return {
    title: say`${comesTo}; ${atStake}`,
    short:
      missing.length === 0
        ? checked
          ? say`nothing left to bill`
          : say`unbilled amount not known`
        : stake.unpricedLines > 0
          ? say`${worth} and more not yet billed`
          : say`${worth} not yet billed`,
    places: [...new Set(missing.map(({ step }) => step))].map(({ span }) => rangeOf(span)),
  };
}
