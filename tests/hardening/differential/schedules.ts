import type { Connector } from '../../../server/src/plan/scope.ts';
import { effects, fluidsOfTask } from '../../../server/src/plan/tables/effects.ts';
import type { Effect, FactId } from '../../../server/src/plan/tables/effects.ts';
import { builtInTasks, contaminating } from '../../../server/src/plan/tables/tasks.ts';
import { Zones } from '../../../server/src/plan/tables/zones.ts';

/** A step of a small plan, as the generator wrote it. */
export interface SmallStep {
  readonly id: string;
  readonly task: string;
  /** Whether it names the one connector. */
  readonly named: boolean;
  readonly halves: readonly ('plug' | 'receptacle')[];
  /** Its zone, of its own or that of the connector it names. */
  readonly zone: string | undefined;
  /** Places of the steps it waits for. */
  readonly waits: readonly number[];
}

/** The one connector of a small plan, and what the plan says of the vehicle. */
export interface SmallWorld {
  readonly steps: readonly SmallStep[];
  readonly connector: Pick<Connector, 'lock' | 'isolates' | 'medium'> & { readonly zone: string };
  readonly arrivedPowered: boolean;
}

/** What a fact did over every schedule, at each start of each step and at the end of the plan (the last entry). */
export type Outcome = readonly { readonly held: boolean; readonly failed: boolean }[];

const zones = new Zones();

/** The rows of the tables read once more, by themselves: which steps of the plan an effect concerns. */
function concerned(
  { steps, connector }: SmallWorld,
  effect: Effect,
  half: string | undefined,
): readonly number[] {
  const { tasks, concern, when } = effect;
  const reaches = (at: SmallStep, kinds: ReadonlySet<string>): boolean => {
    const row = builtInTasks.get(at.task);
    if (!row?.raises.some((hazard) => kinds.has(hazard))) return false;
    if (row.reach === 'everywhere' || at.zone === undefined || at.zone === connector.zone) return true;
    return row.reach === 'beside' && zones.adjoin(at.zone, connector.zone);
  };
  const fits = (at: SmallStep): boolean => {
    const fluids = fluidsOfTask[at.task];
    // A fact about the vehicle has no concern, and no line to carry the fluid.
    const ofLine = concern !== undefined && connector.medium !== undefined;
    if (ofLine && fluids !== undefined && !fluids.has(connector.medium)) return false;
    if (when === 'isolating-connector' && !(at.named && connector.isolates)) return false;
    if (when === 'no-isolating-connector' && connector.isolates) return false;
    // The small plans do not say where the traction battery sits: every step at it is at the whole of it (`whole-battery`).
    if (when === 'at-the-battery' || when === 'one-of-several-batteries') return false;
    // Nobody is named in them, so that any lock that comes off may be the last one (`last-lock`).
    // No step of them is off the vehicle (`on-vehicle`).
    // The vehicle of the small plans has high voltage.
    if (when === 'no-high-voltage') return false;
    // No step of the small plans states a time.
    if (when === 'timed' || when === 'beyond-a-shift') return false;
    if (concern === 'soiling') return reaches(at, contaminating);
    if (concern === 'knocking') return !at.named && reaches(at, new Set(['knock']));
    if (!tasks.includes(at.task)) return false;
    const onHalf = half === undefined || (at.halves as readonly string[]).includes(half);
    if (concern === 'named') return at.named && onHalf;
    // Work whose place is not written may be anywhere.
    if (concern === 'in-zone') return at.zone === undefined || at.zone === connector.zone;
    if (concern === 'covering')
      return at.named ? onHalf : at.zone === undefined || at.zone === connector.zone;
    return true;
  };
  return steps.flatMap((step, place) => (fits(step) ? [place] : []));
}

interface Rule {
  readonly fact: FactId;
  readonly half: string | undefined;
  readonly arrival: boolean;
  /** For each maker the rules that must hold when it starts. */
  readonly makers: ReadonlyMap<number, readonly (readonly number[])[]>;
  /** For each ender the rule that spares the fact where it holds at the start. */
  readonly enders: ReadonlyMap<number, readonly (number | undefined)[]>;
  /** Rules it rests on: what ends one of them ends this one. */
  readonly foundations: readonly number[];
}

/** The facts asked about, and all that they rest on, as rules over places of steps. */
export function rulesOf(world: SmallWorld, asked: readonly (readonly [FactId, string?])[]): readonly Rule[] {
  const rules: Rule[] = [];
  const known = new Map<string, number>();
  const add = (fact: FactId, half: string | undefined): number => {
    const key = `${fact} ${half ?? ''}`;
    const found = known.get(key);
    if (found !== undefined) return found;
    const place = rules.length;
    known.set(key, place);
    rules.push(undefined as never);
    const row = effects[fact];
    const applies = (given: FactId): boolean => given !== 'locked' || world.connector.lock;
    const isHalf = (factId: FactId): boolean => ['protected', 'uncovered', 'clean'].includes(factId);
    const makers = new Map<number, (readonly number[])[]>();
    const foundations = new Set<number>();
    for (const effect of row.makes) {
      const given = (effect.given ?? [])
        .filter(applies)
        .map((factId) => add(factId, isHalf(factId) ? half : undefined));
      for (const one of given) foundations.add(one);
      for (const step of concerned(world, effect, half))
        makers.set(step, [...(makers.get(step) ?? []), given]);
    }
    const enders = new Map<number, (number | undefined)[]>();
    for (const effect of row.ends) {
      if (effect.undoes && makers.size === 0) continue;
      const spared = effect.unless && add(effect.unless, isHalf(effect.unless) ? half : undefined);
      for (const step of concerned(world, effect, half))
        enders.set(step, [...(enders.get(step) ?? []), spared]);
    }
    const arrival =
      row.unlessArrivedAs?.includes('powered') && world.arrivedPowered ? !row.arrival : row.arrival;
    rules[place] = { fact, half, arrival, makers, enders, foundations: [...foundations] };
    return place;
  };
  for (const [fact, half] of asked) add(fact, half);
  return rules;
}

/** More states than this, and the plan is left alone. */
const maxStates = 200_000;

/**
 * Plays every schedule of started and finished steps, overlap included, and watches the facts as a person would who
 * stands beside the vehicle. A step makes its fact at its finish where what it needs for that held when it started and was
 * not ended while it went on; an ender ends it from its start to its finish.
 * @returns for each rule what was seen at each start, and at the end; undefined where there are too many states
 */
export function play({ steps }: SmallWorld, rules: readonly Rule[]): readonly Outcome[] | undefined {
  const count = steps.length;
  const seen = new Set<string>();
  const outcomes = rules.map(() => Array.from({ length: count + 1 }, () => ({ held: false, failed: false })));
  /** Whether a step ends a fact, or one it rests on, in its own right, given what held at its start. */
  const endsAt = (rule: Rule, step: number, atStart: readonly boolean[]): boolean =>
    (rule.enders.get(step)?.some((spared) => spared === undefined || !atStart[spared]!) ?? false) ||
    rule.foundations.some((one) => endsAt(rules[one]!, step, atStart));

  interface State {
    readonly started: number;
    readonly finished: number;
    readonly holds: readonly boolean[];
    /** For each running step: which rules it ends while it runs, and which it will make. */
    readonly running: ReadonlyMap<
      number,
      { readonly ends: readonly boolean[]; readonly makes: readonly boolean[] }
    >;
  }
  const note = (place: number, holds: readonly boolean[]): void =>
    holds.forEach((held, i) => {
      if (held) outcomes[i]![place]!.held = true;
      else outcomes[i]![place]!.failed = true;
    });
  const stack: State[] = [
    { started: 0, finished: 0, holds: rules.map(({ arrival }) => arrival), running: new Map() },
  ];
  for (let state = stack.pop(); state; state = stack.pop()) {
    const { started, finished, holds, running } = state;
    const bits = (list: readonly boolean[]): string => list.map(Number).join('');
    const key = `${started} ${finished} ${bits(holds)} ${[...running]
      .sort(([a], [b]) => a - b)
      .map(([at, { ends, makes }]) => `${at}${bits(ends)}${bits(makes)}`)
      .join(' ')}`;
    if (seen.has(key)) continue;
    seen.add(key);
    if (seen.size > maxStates) return undefined;
    if (finished === 2 ** count - 1) note(count, holds);
    steps.forEach(({ waits }, step) => {
      const bit = 1 << step;
      if ((started & bit) === 0 && waits.every((one) => (finished & (1 << one)) !== 0)) {
        note(step, holds);
        const ends = rules.map((rule) => endsAt(rule, step, holds));
        const makes = rules.map(
          ({ makers }) => makers.get(step)?.some((given) => given.every((one) => holds[one])) ?? false,
        );
        // What is ended now spoils what others are about to make on it.
        const others = [...running].map(
          ([at, one]) =>
            [at, { ends: one.ends, makes: one.makes.map((make, i) => make && !spoils(i, ends)) }] as const,
        );
        stack.push({
          started: started | bit,
          finished,
          holds: holds.map((held, i) => held && !ends[i]!),
          running: new Map([...others, [step, { ends, makes }]]),
        });
      }
      const own = running.get(step);
      if (own) {
        const rest = new Map([...running].filter(([at]) => at !== step));
        stack.push({
          started,
          finished: finished | bit,
          holds: holds.map((held, i) => {
            const others = [...rest.values()].some(({ ends }) => ends[i]!);
            return own.makes[i]! && !others ? true : held && !own.ends[i]!;
          }),
          running: rest,
        });
      }
    });
  }
  return outcomes;

  /** Whether an ending of one of the facts that this one rests on falls into the step that makes it. */
  function spoils(rule: number, ends: readonly boolean[]): boolean {
    return rules[rule]!.foundations.some((one) => ends[one]!);
  }
}
