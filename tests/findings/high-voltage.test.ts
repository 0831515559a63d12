import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { VehicleFacts } from '../../server/src/sequence/facts/timeline.ts';
import { isolationState } from '../../server/src/findings/support/high-voltage.ts';
import { unprovenOf } from '../../server/src/sequence/facts/use.ts';
import { sequenceOf } from '../../server/src/sequence/lives.ts';
import { workspaceOf } from '../support/files.ts';
import { exampleFiles, wholePlan } from '../support/frame.ts';

/** Steps in some partial order: mostly each waits for the one above it, now and then only for others. */
const inSomeOrder = (tasks: readonly string[]): fc.Arbitrary<Drawn> =>
  fc
    .tuple(
      ...tasks.map((_, index) =>
        fc
          .tuple(fc.subarray([...Array(index).keys()]), fc.integer({ min: 0, max: 4 }))
          .map(([some, loose]) => (index === 0 || loose === 0 ? some : [...new Set([...some, index - 1])])),
      ),
    )
    .map((after) => ({ tasks, after }));

/** `core` with up to two of `extra` put somewhere into it, and `last` behind it. */
const planOf = (core: readonly string[], extra: readonly string[], last: string): fc.Arbitrary<Drawn> =>
  fc
    .array(fc.tuple(fc.constantFrom(...extra), fc.integer({ min: 0, max: core.length })), { maxLength: 2 })
    .map((added) => added.reduce((all, [task, at]) => all.toSpliced(at, 0, task), [...core]))
    .chain((tasks) => inSomeOrder([...tasks, last]));

interface Drawn {
  readonly tasks: readonly string[];
  readonly after: readonly (readonly number[])[];
}

function read({ tasks, after }: Drawn) {
  const lines = tasks.map((task, index) => {
    const connectors = /connect|measure/.test(task) ? ', connectors: [inverter-dc]' : '';
    return `  - { id: op${index}, do: ${task}${connectors}, after: [${after[index]!.map((one) => `op${one}`).join(', ')}] }\n`;
  });
  const workspace = workspaceOf({
    ...exampleFiles,
    'one.repair-plan.yaml': wholePlan(`operations:\n${lines.join('')}`),
  });
  const plan = workspace.plan('file:///plans/one.repair-plan.yaml')!;
  return { plan, sequence: sequenceOf(plan) };
}

/** The definition itself: every order in which the steps can be worked through. */
function* orders(after: Drawn['after'], done: number[] = []): Generator<number[]> {
  if (done.length === after.length) yield done;
  for (const [step, before] of after.entries()) {
    if (!done.includes(step) && before.every((one) => done.includes(one)))
      yield* orders(after, [...done, step]);
  }
}

describe('certainty, checked against every order a plan allows', () => {
  test('a system called safe is isolated, locked, waited for and proven dead on all of them', () => {
    let safe = 0;
    fc.assert(
      fc.property(
        planOf(['isolate', 'lock-out', 'wait', 'prove-dead'], ['power-up', 'isolate', 'wait'], 'disconnect'),
        (drawn) => {
          const { plan } = read(drawn);
          const target = plan.operations.at(-1)!;
          if (isolationState(new VehicleFacts(plan), target).missing.length > 0) return;
          safe++;
          for (const order of orders(drawn.after)) {
            const before = order
              .slice(0, order.indexOf(drawn.tasks.length - 1))
              .map((one) => drawn.tasks[one]!);
            const dead = before.slice(before.lastIndexOf('power-up') + 1);
            let from = 0;
            for (const task of ['isolate', 'lock-out', 'wait', 'prove-dead']) {
              const place = dead.indexOf(task, from);
              expect(place, `${task} in ${dead.join(' ')}`).toBeGreaterThanOrEqual(from);
              from = place + 1;
            }
          }
        },
      ),
      { numRuns: 150, seed: 5 },
    );
    expect(safe).toBeGreaterThan(10);
  });

  test('a chain in one line with nothing in between is safe', () => {
    const chain = ['isolate', 'lock-out', 'wait', 'prove-dead', 'disconnect'];
    const { plan } = read({ tasks: chain, after: chain.map((_, i) => (i === 0 ? [] : [i - 1])) });
    expect(isolationState(new VehicleFacts(plan), plan.operations.at(-1)!).missing).toEqual([]);
  });

  test('a duty called kept is done between closing and every gate that follows, on all of them', () => {
    let kept = 0;
    fc.assert(
      fc.property(
        planOf(
          ['disconnect', 'reconnect', 'measure-resistance'],
          ['measure-resistance', 'power-up', 'consult'],
          'power-up',
        ),
        (drawn) => {
          const { plan, sequence } = read(drawn);
          const closed = drawn.tasks.indexOf('reconnect');
          const life = sequence.lives.get('inverter-dc')!;
          if (life.unclear) return;
          if (unprovenOf(plan, 'resistance-proven').some(({ connector }) => connector.id === 'inverter-dc'))
            return;
          const gates = drawn.tasks.flatMap((task, index) =>
            task === 'power-up' && sequence.order.before(plan.operations[closed]!, plan.operations[index]!)
              ? [index]
              : [],
          );
          if (gates.length > 0) kept++;
          for (const order of orders(drawn.after)) {
            for (const gate of gates) {
              const between = order.slice(order.indexOf(closed), order.indexOf(gate));
              expect(between.map((one) => drawn.tasks[one])).toContain('measure-resistance');
            }
          }
        },
      ),
      { numRuns: 100, seed: 6 },
    );
    expect(kept).toBeGreaterThan(10);
  });
});
