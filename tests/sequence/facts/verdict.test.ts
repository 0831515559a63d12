import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { always, isMet, verdict } from '../../../server/src/sequence/facts/verdict.ts';
import type { Presence, Timeline } from '../../../server/src/sequence/facts/verdict.ts';

/** A small plan: for each step the earlier steps it waits for, what it does to the fact, and when it is done. */
interface Small {
  readonly waits: readonly (readonly number[])[];
  readonly makes: readonly boolean[];
  readonly ends: readonly boolean[];
  readonly presence: readonly Presence[];
  readonly arrival: boolean;
}

const questions = ['dirty', 'wet'] as const;
const size = 5;
const flags = fc.array(fc.boolean(), { minLength: size, maxLength: size });
const presences = fc.oneof(
  { weight: 3, arbitrary: fc.constant(always) },
  {
    weight: 2,
    arbitrary: fc
      .array(fc.tuple(fc.constantFrom(...questions), fc.boolean()), { maxLength: 2 })
      .map((entries): Presence => new Map(entries)),
  },
);
const small = (withQuestions: boolean): fc.Arbitrary<Small> =>
  fc.record({
    waits: fc.tuple(
      ...Array.from({ length: size }, (_, step) =>
        step === 0 ? fc.constant([]) : fc.subarray(Array.from({ length: step }, (__, i) => i)),
      ),
    ),
    makes: flags,
    ends: flags,
    presence: withQuestions
      ? fc.array(presences, { minLength: size, maxLength: size })
      : fc.constant(Array.from({ length: size }, () => always)),
    arrival: fc.boolean(),
  });

const steps = Array.from({ length: size }, (_, i) => i);

/** The transitive closure of `waits`. */
function orderOf({ waits }: Small): { before(a: number, b: number): boolean } {
  const earlier: Set<number>[] = [];
  waits.forEach((own, step) => {
    earlier[step] = new Set(own.flatMap((one) => [one, ...earlier[one]!]));
  });
  return { before: (a, b) => earlier[b]!.has(a) };
}

/**
 * Searches every schedule of started and finished steps. Returns whether the fact held, and whether it failed, at some
 * start of `target`; `undefined` as target is the end of the plan.
 */
function search(
  plan: Small,
  target: number | undefined,
  answers: Presence,
): { held: boolean; failed: boolean } {
  const done = (step: number): boolean =>
    [...plan.presence[step]!].every(([question, answer]) => answers.get(question) === answer);
  const seen = new Set<string>();
  let held = false;
  let failed = false;
  const note = (fact: boolean): void => {
    if (fact) held = true;
    else failed = true;
  };
  const visit = (started: number, finished: number, fact: boolean): void => {
    const key = `${started} ${finished} ${fact}`;
    if (seen.has(key)) return;
    seen.add(key);
    const running = (step: number): boolean => ((started & ~finished) >> step) % 2 === 1;
    for (const step of steps) {
      if ((started >> step) % 2 === 0 && plan.waits[step]!.every((one) => (finished >> one) % 2 === 1)) {
        if (step === target && done(step)) note(fact);
        visit(started | (1 << step), finished, fact && !(plan.ends[step]! && done(step)));
      }
      if (running(step)) {
        const others = steps.some((one) => one !== step && running(one) && plan.ends[one]! && done(one));
        let now = fact;
        if (done(step) && plan.ends[step]!) now = false;
        if (done(step) && plan.makes[step]! && !others) now = true;
        visit(started, finished | (1 << step), now);
      }
    }
    if (target === undefined && finished === 2 ** size - 1) note(fact);
  };
  visit(0, 0, plan.arrival);
  return { held, failed };
}

/** The search over all answers under which `target` is done. */
function exhaustive(plan: Small, target: number | undefined): { held: boolean; failed: boolean } {
  const own = target === undefined ? always : plan.presence[target]!;
  const all = [0, 1, 2, 3].map(
    (bits): Presence => new Map(questions.map((question, i) => [question, ((bits >> i) & 1) === 1])),
  );
  const relevant = all.filter((answers) =>
    [...own].every(([question, answer]) => answers.get(question) === answer),
  );
  const results = relevant.map((answers) => search(plan, target, answers));
  return { held: results.some(({ held }) => held), failed: results.some(({ failed }) => failed) };
}

const timelineOf = ({ arrival, makes, ends }: Small): Timeline<number> => ({
  arrival,
  makers: steps.filter((step) => makes[step]),
  enders: steps.filter((step) => ends[step]),
});

const runs = Number(process.env.PLUGWARD_LAW_RUNS ?? 1) * 400;

describe('the verdict is that of an exhaustive search over all schedules, overlap included', () => {
  test.each([
    ['without questions', false],
    ['with steps that are only done for some answers', true],
  ])('%s', (_, withQuestions) => {
    fc.assert(
      fc.property(small(withQuestions), fc.constantFrom(...steps, undefined), (plan, target) => {
        fc.pre(
          target === undefined ||
            new Set([...plan.presence[target]!.keys()]).size === plan.presence[target]!.size,
        );
        const { held, failed } = exhaustive(plan, target);
        const presenceOf = withQuestions ? (step: number) => plan.presence[step]! : undefined;
        const told = verdict(orderOf(plan), timelineOf(plan), target, presenceOf);
        if (!withQuestions) expect(isMet(orderOf(plan), timelineOf(plan), target)).toBe(!failed);
        expect(told.met ? 'met' : told.certain ? 'fails' : 'may fail').toBe(
          !failed ? 'met' : held ? 'may fail' : 'fails',
        );
      }),
      { numRuns: runs, seed: 20270210 },
    );
  });
});

describe('why a need is not met', () => {
  const chain = { before: (a: number, b: number) => a < b };
  test('a fact that nothing makes has no culprit', () => {
    expect(verdict(chain, { arrival: false, makers: [], enders: [1] }, 3)).toEqual({
      met: false,
      certain: true,
      culprit: undefined,
      culprits: [],
      candidates: [],
    });
  });
  test('the last step that ends it is the culprit, and makers after the target are candidates', () => {
    expect(verdict(chain, { arrival: false, makers: [0, 5], enders: [1, 2] }, 3)).toEqual({
      met: false,
      certain: true,
      culprit: 2,
      culprits: [1, 2],
      candidates: [5],
    });
  });
  test('a step that ends and makes restores its own ending', () => {
    expect(verdict(chain, { arrival: false, makers: [0, 2], enders: [2] }, 3)).toEqual({ met: true });
  });
  test('a step does not make a fact for itself', () => {
    expect(verdict(chain, { arrival: false, makers: [3], enders: [] }, 3).met).toBe(false);
  });
});
