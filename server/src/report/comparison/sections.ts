import type Big from 'big.js';
import { movesOf } from '../../compare/compare.ts';
import type { Comparison, ExposureChange, Move, OrderChange, Pair } from '../../compare/compare.ts';
import type { Change, EntryChange } from '../../compare/facts.ts';
import type { ToldFinding } from '../../compare/finding-prints.ts';
import type { LineChange } from '../../compare/money.ts';
import type { Bill, LabourCharge, MaterialCharge } from '../../costing/bill.ts';
import { localizedNumber, joined, andList, say, someOf } from '../../language/phrase.ts';
import type { Phrase, Value } from '../../language/phrase.ts';
import type { Operation } from '../../plan/operations.ts';
import type { Plan } from '../../plan/plan.ts';
import { rangeOf } from '../../text/span.ts';
import type { Range } from '../../text/span.ts';
import { stepTitle, workTitle } from '../print/task-words.ts';
import { plural, moneyText, timeText, zoneText } from '../print/words.ts';

/** What a line tells of: added, removed, otherwise, or a finding of this severity. */
export type Mark = '+' | '-' | '~' | ToldFinding['severity'];

export interface ComparisonLine {
  readonly mark: Mark;
  readonly text: Phrase;
  /** Where it stands in the new version; of what was removed, in the old one. */
  readonly at?: Range;
  /** A step of the new version it tells of. */
  readonly step?: string;
}

export interface ComparisonSection {
  readonly title: Phrase;
  readonly lines: readonly ComparisonLine[];
  /** What is said beside the lines, such as how many others there are. */
  readonly notes: readonly Phrase[];
}

/** What changed, in the words of all formats that people read. Sections without a change are left out. */
export function comparisonSections(comparison: Comparison): ComparisonSection[] {
  const sections = [
    findingsSection(comparison),
    stepsSection(comparison),
    orderSection(comparison),
    exposureSection(comparison),
    entriesSection(say`Vehicle and limits`, [
      { old: '', new: '', changes: comparison.head },
      ...comparison.connectors,
    ]),
    moneySection(comparison),
    entriesSection(say`Readings`, comparison.readings),
    entriesSection(say`Photographs and papers`, comparison.evidence),
    entriesSection(say`Sources`, comparison.sources),
    entriesSection(say`Sign-offs`, comparison.signOffs),
    entriesSection(say`Accepted findings`, comparison.accepted),
    timesSection(comparison),
  ];
  return sections.filter(({ lines, notes }) => lines.length + notes.length > 0);
}

const operationText = (operation: Operation): Phrase => say`${operation.id} ${stepTitle(operation)}`;

const around = ({ connectors, zones }: Operation): Value => {
  const names = connectors.length > 0 ? connectors.map(({ value }) => value) : zones.map(zoneText);
  return names.length > 0 ? say` (${someOf(names, 4)})` : '';
};

/** "halves was plug, now both". Keys stay as they are written in the file. */
function changeText({ key, old, new: now, members }: Change): Phrase {
  if (old === undefined) return say`${key} now ${now ?? ''}, not stated before`;
  if (now === undefined) return say`${key} was ${old}, now not stated`;
  const few = members && members.gone.length + members.fresh.length < 3 && `${old}${now}`.length > 40;
  if (!few) return say`${key} was ${old}, now ${now}`;
  const { gone, fresh } = members;
  if (gone.length === 0) return say`${key} now also ${andList(fresh)}`;
  if (fresh.length === 0) return say`${key} no longer ${andList(gone)}`;
  return say`${key} no longer ${andList(gone)}, now ${andList(fresh)}`;
}

const changesText = (changes: readonly Change[]): Phrase => joined(changes.map(changeText), '; ');

function stepsSection({ added, removed, renamed, changed }: Comparison): ComparisonSection {
  const whole =
    (mark: '+' | '-') =>
    (operation: Operation): ComparisonLine => ({
      mark,
      text: say`${operationText(operation)}${around(operation)}`,
      at: rangeOfStep(operation),
      ...(mark === '+' ? { step: operation.planStep.id } : {}),
    });
  return {
    title: say`Steps`,
    lines: [
      ...removed.map(whole('-')),
      ...added.map(whole('+')),
      ...changed.map((stepChange): ComparisonLine => ({
        mark: '~',
        text: say`${operationText(stepChange.new)}: ${changesText(stepChange.changes)}`,
        at: rangeOfStep(stepChange.new),
        step: stepChange.new.planStep.id,
      })),
      ...renamed.map(({ old, new: now, pair }): ComparisonLine => ({
        mark: '~',
        text: say`${old} is now called ${now}`,
        at: rangeOfStep(pair.new),
        step: pair.new.planStep.id,
      })),
    ],
    notes: [],
  };
}

const rangeOfStep = ({ planStep }: Operation): Range => rangeOf(planStep.node.span);

const maxNamed = 5;

function orderSection({ order }: Comparison): ComparisonSection {
  const title = say`Order of work`;
  if (!order) {
    return {
      title,
      lines: [],
      notes: [
        say`The steps of one version wait for each other in a circle, so the orders cannot be compared.`,
      ],
    };
  }
  const moves = movesOf(order);
  const shown = moves.filter(({ matters }) => matters);
  const others = moves.length - shown.length;
  return {
    title,
    lines: shown.map((move) => ({
      mark: '~',
      text: moveText(move),
      at: rangeOfStep(move.step.new),
      step: move.step.new.planStep.id,
    })),
    notes:
      others > 0
        ? [
            plural(
              others,
              say`1 more step changed its place in the order. It concerns no connector and no make-safe step, and raises no dirt near one.`,
              say`${others} more steps changed their place in the order. None of them concerns a connector or a make-safe step, or raises dirt near one.`,
            ),
          ]
        : [],
  };
}

function moveText({ step, changes }: Move): Phrase {
  const others = (
    fits: (change: OrderChange) => boolean,
    of: (change: OrderChange) => Pair,
  ): Phrase | undefined => {
    const names = changes.filter(fits).map((change) => operationText(of(change).new));
    return names.length > 0 ? someOf(names, maxNamed) : undefined;
  };
  const waited = others(
    (orderChange) => orderChange.kind === 'lost' && orderChange.second === step,
    ({ first }) => first,
  );
  const waits = others(
    (orderChange) => orderChange.kind === 'gained' && orderChange.second === step,
    ({ first }) => first,
  );
  const led = others(
    (orderChange) => orderChange.kind === 'lost' && orderChange.first === step,
    ({ second }) => second,
  );
  const leads = others(
    (orderChange) => orderChange.kind === 'gained' && orderChange.first === step,
    ({ second }) => second,
  );
  const parts = [
    waited && say`it no longer waits for ${waited}`,
    waits && say`it now waits for ${waits}`,
    led && say`it need no longer be finished before ${led}`,
    leads && say`it must now be finished before ${leads}`,
  ].filter((part) => part !== undefined);
  return say`${operationText(step.new)}: ${joined(parts, '; ')}`;
}

function exposureSection({ exposures }: Comparison): ComparisonSection {
  return {
    title: say`Bare connectors`,
    lines: exposures.map((exposureChange) => ({
      mark: exposureChange.old ? (exposureChange.new ? '~' : '-') : '+',
      text: exposureText(exposureChange),
    })),
    notes:
      exposures.length > 0
        ? [say`Times as the plan states them, every step as early as the order allows.`]
        : [],
  };
}

function exposureText({ connector, old, new: now }: ExposureChange): Phrase {
  if (!now) return say`${connector} is no longer left bare`;
  const lasts = now.open ? say`, and stays bare to the end of the plan` : '';
  const met =
    (old?.met ?? 0) === now.met
      ? ''
      : say`; steps that may soil it meanwhile: ${old?.met ?? 0} before, ${now.met} now`;
  const difference = now.bare - (old?.bare ?? 0);
  if (!old) return say`${connector} is bare for ${timeText(now.bare)}${lasts}${met}`;
  if (difference === 0)
    return say`${connector} is bare as long as before, ${timeText(now.bare)}${lasts}${met}`;
  const by = timeText(Math.abs(difference));
  return difference > 0
    ? say`${connector} is bare ${by} longer: ${timeText(now.bare)} instead of ${timeText(old.bare)}${lasts}${met}`
    : say`${connector} is bare ${by} less: ${timeText(now.bare)} instead of ${timeText(old.bare)}${lasts}${met}`;
}

function entriesSection(title: Phrase, entries: readonly EntryChange[]): ComparisonSection {
  return {
    title,
    lines: entries.flatMap(({ old, new: now, changes, says }): ComparisonLine[] => {
      const whole = says === undefined ? say`${now ?? old ?? ''}` : say`${now ?? old ?? ''}: ${says}`;
      if (old === undefined) return [{ mark: '+', text: whole }];
      if (now === undefined) return [{ mark: '-', text: whole }];
      // The head of the plan has no name of its own.
      if (now === '') return changes.map((change) => ({ mark: '~', text: changeText(change) }));
      return [{ mark: '~', text: say`${now}: ${changesText(changes)}` }];
    }),
    notes: [],
  };
}

/** "14.40 more", "3.00 less". */
function differenceText(difference: Big, bill: Bill): Phrase {
  const amount = say`${moneyText(difference.abs(), bill.sheet)} ${bill.sheet.currency ?? ''}`;
  return difference.gt(0)
    ? say`${amount} more`
    : difference.lt(0)
      ? say`${amount} less`
      : say`the same amount`;
}

const lineName = (plan: Plan, charge: LabourCharge | MaterialCharge): Phrase =>
  'item' in charge
    ? say`${charge.steps.join(', ')} ${charge.name ?? charge.item ?? ''}`
    : say`${charge.steps.join(', ')} ${charge.task === undefined ? '' : workTitle(plan, charge.task)}`;

function moneySection({ money, old, new: now }: Comparison): ComparisonSection {
  const line = (change: LineChange<LabourCharge | MaterialCharge>): ComparisonLine => {
    const charge = change.new ?? change.old!;
    const plan = change.new ? now.plan : old.plan;
    const { origin, from, to } = charge.line.node.span;
    const known = [change.old, change.new].every((one) => one?.gap === undefined);
    return {
      mark: change.old ? (change.new ? '~' : '-') : '+',
      text: say`${lineName(plan, charge)}${change.changes.length > 0 ? say`: ${changesText(change.changes)}` : ''}: ${known ? differenceText(change.difference, money.new) : say`no amount, so no difference`}`,
      at: { uri: origin.uri, start: origin.base + from, end: origin.base + to },
      ...(change.new && charge.steps[0] !== undefined ? { step: charge.steps[0] } : {}),
    };
  };
  const lines = [...money.labour, ...money.materials].map(line);
  const { net, gross } = money;
  const notes: Phrase[] = [];
  if (net === undefined || gross === undefined) {
    notes.push(
      say`The versions are priced in different currencies, ${money.old.sheet.currency ?? say`none`} and ${money.new.sheet.currency ?? say`none`}: no difference is formed.`,
    );
  } else if (lines.length > 0 || !gross.eq(0)) {
    notes.push(
      say`Before tax: ${differenceText(net, money.new)}. With taxes: ${differenceText(gross, money.new)}, ${moneyText(money.new.gross.amount, money.new.sheet)} instead of ${moneyText(money.old.gross.amount, money.old.sheet)}.`,
    );
  }
  const open = money.new.gross.unpricedLines;
  if (notes.length > 0 && open > 0) {
    notes.push(
      plural(
        open,
        say`1 line has no amount and counts as nothing.`,
        say`${open} lines have no amount and count as nothing.`,
      ),
    );
  }
  return { title: say`Labour and material`, lines, notes };
}

function timesSection({ times }: Comparison): ComparisonSection {
  const { old, new: now } = times;
  const lines: ComparisonLine[] = [];
  const put = (before: string | undefined, after: string | undefined, text: Phrase): void => {
    if (before !== undefined && after !== undefined && before !== after) lines.push({ mark: '~', text });
  };
  const text = (time: number | undefined): string | undefined =>
    time === undefined ? undefined : timeText(time);
  put(
    old.paidHours,
    now.paidHours,
    say`Hours of labour lines: ${localizedNumber(now.paidHours)} h instead of ${localizedNumber(old.paidHours)} h`,
  );
  put(
    text(old.planned),
    text(now.planned),
    say`Time of all steps: ${text(now.planned) ?? ''} instead of ${text(old.planned) ?? ''}`,
  );
  put(
    text(old.earliestFinish),
    text(now.earliestFinish),
    say`Earliest finish: ${text(now.earliestFinish) ?? ''} after the start instead of ${text(old.earliestFinish) ?? ''}`,
  );
  return { title: say`Hours and time`, lines, notes: [] };
}

function findingsSection({ findings }: Comparison): ComparisonSection {
  const lines = findings.fresh.map(({ severity, message, range, operation, finding }): ComparisonLine => ({
    mark: severity,
    text: say`${message} (${finding})`,
    at: range,
    ...(operation === undefined ? {} : { step: operation.split('/')[0]! }),
  }));
  const gone = findings.gone.map(({ message, range, finding }): ComparisonLine => ({
    mark: '-',
    text: say`${message} (${finding})`,
    at: range,
  }));
  const kept = new Map<string, number>();
  for (const [, { severity }] of findings.kept) kept.set(severity, (kept.get(severity) ?? 0) + 1);
  const open = [
    { severity: 'error', count: kept.get('error') ?? 0 },
    { severity: 'warning', count: kept.get('warning') ?? 0 },
    { severity: 'information', count: kept.get('information') ?? 0 },
  ].flatMap(({ severity, count }) =>
    count === 0
      ? []
      : severity === 'error'
        ? [plural(count, say`1 error`, say`${count} errors`)]
        : severity === 'warning'
          ? [plural(count, say`1 warning`, say`${count} warnings`)]
          : [plural(count, say`1 note`, say`${count} notes`)],
  );
  return {
    title: say`Findings: new, and gone`,
    lines: [...lines, ...gone],
    notes: open.length > 0 ? [say`Found before and still there: ${andList(open)}.`] : [],
  };
}
