/**
 * The kernel of the safety analysis: whether a fact holds when a step starts, on every order that the plan allows.
 *
 * Steps take time and may overlap. A maker makes the fact at its finish. An ender ends it from its start to its finish.
 * A step that does both ends the fact first and makes it at its finish, as a second isolation does. `before(a, b)` says
 * that `a` is finished when `b` starts, on every order.
 *
 * A need of step s is met if and only if
 *  1. the fact holds on arrival, or some maker is certainly before s; and
 *  2. for every ender e other than s that is not certainly after s, some maker w is certainly before s and either w is e
 *     or e is certainly before w.
 * It certainly fails by the same rule with makers and enders exchanged and the arrival negated (there, w is never e).
 * Otherwise it may fail: some orders keep it, others do not.
 *
 * An ender that is unordered with s may start before s, so a need that is met at the start of s also holds throughout s.
 * The rule is exact; tests/sequence/facts compares it with an exhaustive search, overlap included. Makers that count
 * only under conditions (`given` in the tables) are filtered by the caller: then "met" still implies "met on every
 * order", but some needs that are met on every order are reported (the exact question is NP-hard).
 *
 * Cost: at most makers + enders × makers calls of `before`, makers + enders where steps come one after the other, and 2ⁿ times that where n questions decide which steps are done.
 */

/** The answers under which a step is done, by question. A step that is always done has no entry. */
export type Presence = ReadonlyMap<string, boolean>;

/** The presence of a step that is done whatever the answers are. */
export const always: Presence = new Map();

export interface PartialOrder<S> {
  /** Whether `a` is finished before `b` starts, on every order. Irreflexive and transitive. */
  before(a: S, b: S): boolean;
}

/** What happens to one fact about one thing. */
export interface Timeline<S> {
  /** Whether it holds when the plan begins. */
  readonly arrival: boolean;
  /** The steps that make it. */
  readonly makers: readonly S[];
  /** The steps that end it. */
  readonly enders: readonly S[];
}

/** Whether a need is met; if not, why. */
export type Verdict<S> = { readonly met: true } | Unmet<S>;

export interface Unmet<S> {
  readonly met: false;
  /** It fails on every order, rather than on some. */
  readonly certain: boolean;
  /** The step that may have ended the fact last; `undefined` if the fact is never certain to be made. */
  readonly culprit: S | undefined;
  /** All steps that may have ended the fact with no certain maker after them, as `enders` lists them. */
  readonly culprits: readonly S[];
  /** Makers that could come in time and are ordered too loosely, or too late, for that. */
  readonly candidates: readonly S[];
}

/** The most questions whose answers are tried together; with more, the need is reported as one that may fail. */
const maxQuestions = 10;

const met = { met: true } as const;

/** Whether a fact holds when `step` starts, where every step is done. Most needs are met, and they are many: nothing is allocated. */
export function isMet<S>(
  order: PartialOrder<S>,
  { arrival, makers, enders }: Timeline<S>,
  step: S | undefined,
): boolean {
  const isBefore = (maker: S): boolean => maker !== step && (step === undefined || order.before(maker, step));
  // Looked for once: of many makers those that come too late would be passed for each ender.
  const last = makers.findLastIndex(isBefore);
  if (!arrival && last < 0) return false;
  for (const ender of enders) {
    if (ender === step || (step !== undefined && order.before(step, ender))) continue;
    let isRestored = false;
    for (let i = last; i >= 0 && !isRestored; i--) {
      const maker = makers[i]!;
      isRestored = (maker === ender || order.before(ender, maker)) && isBefore(maker);
    }
    if (!isRestored) return false;
  }
  return true;
}

/**
 * The same with the reasons where it does not hold. Where only the answer counts, ask `isMet`.
 * @param step the step that needs the fact, or `undefined` for the end of the plan
 * @param presenceOf when each step is done; a step that is not done keeps its place in the order
 */
export function verdict<S>(
  order: PartialOrder<S>,
  timeline: Timeline<S>,
  step: S | undefined,
  presenceOf?: (step: S) => Presence,
): Verdict<S> {
  if (!presenceOf && isMet(order, timeline, step)) return met;
  const certainlyBefore = (a: S, b: S | undefined): boolean => b === undefined || order.before(a, b);
  const mayPrecede = (a: S): boolean => a !== step && (step === undefined || !order.before(step, a));
  const { arrival } = timeline;
  const makers = timeline.makers.filter((maker) => maker !== step && certainlyBefore(maker, step));
  const enders = timeline.enders.filter(mayPrecede);
  const isRestored = (restores: readonly S[], ender: S, both: boolean): boolean =>
    // The last ones first: where steps come one after the other, one of them answers at once.
    restores.findLast((maker) => (both && maker === ender) || order.before(ender, maker)) !== undefined;
  /** Whether what `arrives` and what `restores` outlast all of `breaks`, where every step is done. */
  const outlast = (arrives: boolean, restores: readonly S[], breaks: readonly S[], both: boolean): boolean =>
    (arrives || restores.length > 0) && breaks.every((ender) => isRestored(restores, ender, both));
  /** The same on every combination of answers to what decides which steps are done; not known of too many. */
  const alwaysOutlast: typeof outlast = (arrives, restores, breaks, both) => {
    if (!presenceOf) return outlast(arrives, restores, breaks, both);
    const fixed = (step !== undefined && presenceOf(step)) || always;
    const answers = answersTo([...restores, ...breaks], presenceOf, fixed);
    return (
      answers?.every((assigned) => {
        const present = (other: S): boolean => isDone(presenceOf(other), assigned);
        return outlast(arrives, restores.filter(present), breaks.filter(present), both);
      }) ?? false
    );
  };
  if (presenceOf && alwaysOutlast(arrival, makers, enders, true)) return met;

  const certainEnders = timeline.enders.filter((ender) => ender !== step && certainlyBefore(ender, step));
  const certain = alwaysOutlast(!arrival, certainEnders, timeline.makers.filter(mayPrecede), false);
  const culprits =
    arrival || makers.length > 0 ? enders.filter((ender) => !isRestored(makers, ender, true)) : [];
  const culprit = culprits.at(-1);
  return {
    met: false,
    certain,
    culprit,
    culprits,
    candidates: timeline.makers.filter(
      (maker) =>
        maker !== step && (culprit === undefined || maker === culprit || !order.before(maker, culprit)),
    ),
  };
}

const isDone = (presence: Presence, assigned: Presence): boolean => {
  for (const [question, answer] of presence) if (assigned.get(question) !== answer) return false;
  return true;
};

/** Every combination of answers to the questions that decide about `steps`, given `fixed`; `undefined` if too many. */
function answersTo<S>(
  steps: readonly S[],
  presenceOf: (step: S) => Presence,
  fixed: Presence,
): readonly Presence[] | undefined {
  const questions = new Set<string>();
  for (const step of steps) for (const question of presenceOf(step).keys()) questions.add(question);
  const open = [...questions].filter((question) => !fixed.has(question));
  if (open.length === 0) return [fixed];
  if (open.length > maxQuestions) return undefined;
  return Array.from({ length: 2 ** open.length }, (_, bits) => {
    const assigned = new Map(fixed);
    open.forEach((question, place) => assigned.set(question, ((bits >> place) & 1) === 1));
    return assigned;
  });
}
