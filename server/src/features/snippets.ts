import { bestCover, inList } from '../findings/support/mending.ts';
import { andList, say } from '../language/phrase.ts';
import type { Phrase } from '../language/phrase.ts';
import { classRules } from '../plan/tables/classes.ts';
import type { Plan } from '../plan/plan.ts';
import type { Connector } from '../plan/scope.ts';
import { sequenceOf } from '../sequence/lives.ts';

/** A group of steps that belong together, ready to be put into a plan. */
export interface StepGroup {
  readonly label: Phrase;
  readonly steps: readonly string[];
  readonly why: Phrase;
}

/** A snippet placeholder, with choices if known. Numbered in the order in which they are visited. */
const hole = (number: number, choices: readonly string[]): string => {
  const safe = choices.map((one) => one.replace(/[\\$},|]/g, '\\$&'));
  if (safe.length === 0) return `$${number}`;
  return safe.length === 1 ? `\${${number}:${safe[0]!}}` : `\${${number}|${safe.join(',')}|}`;
};

const maxChoices = 60;

/**
 * Groups of steps to insert after the first `position` steps of the plan: the steps required for each
 * connector from there on, and general ones with a choice of connector.
 */
export function stepGroups(plan: Plan, position: number): StepGroup[] {
  const connectors = [...plan.scope.connectors.values()];
  const ids = freshIds(plan, position, 10);
  const line = (index: number, task: string, rest: string): string =>
    `{ id: ${ids[index]!}, do: ${task}${rest === '' ? '' : `, ${rest}`} }`;
  const on = (connector: string): string => `connectors: [${connector}]`;
  const group = (
    label: Phrase,
    why: Phrase,
    tasks: readonly (readonly [task: string, rest: string])[],
  ): StepGroup => ({ label, why, steps: tasks.map(([task, rest], i) => line(i, task, rest)) });
  const cover = (connector: Connector): string => {
    const best = bestCover(plan, connector, false);
    return `${on(connector.id)}, halves: both, using: ${best ? inList(best) : hole(1, consumables(plan))}`;
  };
  const some = hole(
    1,
    connectors.slice(0, maxChoices).map(({ id }) => id),
  );
  const groups: StepGroup[] = [
    group(say`disconnect and cover`, say`Opens a connector and covers both halves at once.`, [
      ['disconnect', on(some)],
      ['cover', `${on('$1')}, halves: both, using: ${hole(2, consumables(plan))}`],
    ]),
    group(say`cover`, say`Covers both halves of an opened connector.`, [
      ['cover', `${on(some)}, halves: both, using: ${hole(2, consumables(plan))}`],
    ]),
    group(say`uncover, inspect and reconnect`, say`Closes a covered connector.`, [
      ['uncover', on(some)],
      ['inspect', on('$1')],
      ['reconnect', on('$1')],
    ]),
  ];
  const open = openAt(plan, position);
  for (const connector of connectors) {
    const words = connector.class ? classRules[connector.class].words : say`connector`;
    const state = open.get(connector.id);
    if (state === undefined) {
      groups.push(
        group(
          say`open ${connector.id}`,
          say`Opens the ${words} and covers both halves at once.${beforeOpening(connector)}`,
          [
            ['disconnect', on(connector.id)],
            ['cover', cover(connector)],
          ],
        ),
      );
    } else {
      const tasks = closing(connector, state === 'covered');
      groups.push(
        group(
          say`close ${connector.id}`,
          say`Still missing for this ${words}: ${andList(tasks)}.`,
          tasks.map((task) => [task, on(connector.id)] as const),
        ),
      );
    }
  }
  return groups;
}

/** What comes before the opening, so that a group of steps is not taken for all there is to do. */
function beforeOpening({ class: kind, isolates }: Connector): Phrase | '' {
  if (kind === 'high-voltage-power' || kind === 'interlock') {
    return isolates
      ? say` High voltage is live there: gloves and procedure of the vehicle maker.`
      : say` Before that, the high-voltage system is proven dead, as the vehicle maker specifies.`;
  }
  if (kind === 'restraint' || kind === 'pyrotechnic')
    return say` Before that, the 12 V battery is disconnected and the vehicle maker's waiting time is over.`;
  if (kind === '48-volt')
    return say` Before that, the 48 V system is isolated, as the vehicle maker specifies.`;
  return kind === 'fluid-line'
    ? say` Before that, the line is emptied or its pressure relieved, as the vehicle maker specifies.`
    : '';
}

const consumables = (plan: Plan): string[] => [...plan.scope.consumables.keys()].slice(0, maxChoices);

/** The proofs required for the class, as steps; `lock` only if the connector has a lock. */
function closing(connector: Connector, covered: boolean): string[] {
  const rule = connector.class && classRules[connector.class];
  const after = (rule?.afterClosing ?? ['check-seated']).filter(
    (task) =>
      task !== 'scan' &&
      (task !== 'lock' || connector.lock) &&
      // Once it is closed the system is live, and no meter goes to it.
      !(connector.isolates && task.startsWith('measure-')),
  );
  return [...(covered ? ['uncover'] : []), ...(rule?.beforeClosing ?? ['inspect']), 'reconnect', ...after];
}

/** Connectors that the steps above a place have opened and not closed. */
function openAt(plan: Plan, position: number): Map<string, 'bare' | 'covered'> {
  const open = new Map<string, 'bare' | 'covered'>();
  for (const { connector, events } of sequenceOf(plan).lives.values()) {
    const last = events.findLast(({ operation }) => plan.indexInList(operation.planStep) < position);
    if (!last || last.act === 'reconnect') continue;
    open.set(connector.id, last.act === 'cover' ? 'covered' : 'bare');
  }
  return open;
}

const NUMBERED = /^(.*?)(\d+)$/;

/**
 * Unused ids in the style of the plan: multiples of ten if they fit between the neighbours' numbers, else of
 * five, else any, else the previous number with a letter appended.
 */
export function freshIds(plan: Plan, position: number, count: number): string[] {
  const taken = new Set(plan.steps.map(({ id }) => id));
  const numbered = (from: typeof plan.steps): RegExpExecArray | undefined => {
    for (const { id } of from) {
      const match = NUMBERED.exec(id);
      if (match) return match;
    }
    return undefined;
  };
  const above = numbered(plan.steps.filter((step) => plan.indexInList(step) < position).reverse());
  const below = numbered(plan.steps.filter((step) => plan.indexInList(step) >= position));
  const prefix = above?.[1] ?? below?.[1] ?? 'op';
  const low = Number(above?.[2] ?? 0);
  const high = below?.[1] === prefix && Number(below[2]) > low ? Number(below[2]) : Infinity;
  for (const step of [10, 5, 1]) {
    const first = (Math.floor(low / step) + 1) * step;
    const ids: string[] = [];
    for (let n = first; n < high && ids.length < count; n += step) {
      if (!taken.has(prefix + String(n))) ids.push(prefix + String(n));
    }
    // Up to five ids are needed at once; they nearly always fit.
    if (ids.length >= Math.min(count, step === 1 ? count : 6)) return padded(ids, count, taken);
  }
  return padded([], count, taken, `${prefix}${low || 10}`);
}

function padded(ids: string[], count: number, taken: ReadonlySet<string>, base?: string): string[] {
  const stem = base ?? ids.at(-1) ?? 'op';
  for (let n = 2; ids.length < count; n++) {
    const id = `${stem}-${n}`;
    if (!taken.has(id)) ids.push(id);
  }
  return ids;
}

/** A snippet as plain text: first choices and presets written out, the rest left as `blank`. */
export function plainText(snippet: string, blank = ''): string {
  const chosen = new Map<string, string>();
  const hole = /\$\{(\d+)\|((?:[^|\\]|\\.)*)\|\}|\$\{(\d+):([^}]*)\}|\$(?:\{(\d+)\}|(\d+))/g;
  return snippet.replace(
    hole,
    (_, a?: string, choices?: string, b?: string, preset?: string, c?: string, d?: string) => {
      const number = a ?? b ?? c ?? d ?? '';
      const text = choices?.split(',')[0] ?? preset;
      if (text !== undefined) chosen.set(number, text);
      return chosen.get(number) ?? blank;
    },
  );
}
