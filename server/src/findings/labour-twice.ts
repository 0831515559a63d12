import { paidTask } from '../costing/owed.ts';
import { removeItem } from '../document/edits.ts';
import type { AnyNode } from '../document/node.ts';
import type { At } from '../plan/read.ts';
import type { Finding } from './finding.ts';
import { commonPractice, plansOnly } from './finding.ts';
import { fix } from './mending.ts';

export const labourTwice: Finding = {
  id: 'labour-twice',
  title: 'The same work or material is charged twice',
  severity: 'warning',
  means:
    'Two labour lines pay the same task of the same step, or two material lines charge the same item for the same step.',
  why: 'A double line is the first thing a payer finds, and after it every other line is doubted.',
  todo: 'Remove one, or put both into one line.',
  source: commonPractice,
  kinds: plansOnly,
  ground: 'lines',
  example: {
    wrong: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
labour:
  - { for: op20, task: disconnect, hours: 0.3 }
  - { for: op20, task: disconnect, hours: 0.3 }
`,
    right: `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
labour:
  - { for: op20, task: disconnect, hours: 0.3 }
`,
  },
  *check({ plan }) {
    const steps = new Map(plan.steps.map((step) => [step.id, step]));
    const charges: Charge[] = [
      ...plan.labour.flatMap((line) =>
        line.for.map((step) => {
          const own = steps.get(step.value);
          const what = line.task?.value ?? (own ? paidTask(plan, own) : '');
          return { section: 'labour' as const, node: line.node as AnyNode, all: line.for, step, what };
        }),
      ),
      ...plan.materials.flatMap((line) =>
        line.for.map((step) => ({
          section: 'materials' as const,
          node: line.node as AnyNode,
          all: line.for,
          step,
          what: line.item?.value ?? '',
        })),
      ),
    ];
    const seen = new Map<string, Charge>();
    for (const charge of charges) {
      const { section, step, what, node, all } = charge;
      if (what === '') continue;
      const key = `${section} ${step.value} ${what}`;
      const first = seen.get(key);
      if (!first) {
        seen.set(key, charge);
        continue;
      }
      yield {
        at: step.span,
        operation: step.value,
        message: `Two ${section === 'labour' ? 'labour lines pay' : 'material lines charge'} ${what} for ${step.value}. Remove one, or put both into one line.`,
        trace: [{ at: first.step.span, message: `${what} for ${step.value} stands here first` }],
        fixes: () =>
          all.length > 1 ? [] : [fix('Remove this line', removeItem(plan.document, section, node))],
      };
    }
  },
};

interface Charge {
  readonly section: 'labour' | 'materials';
  readonly node: AnyNode;
  readonly all: readonly At<string>[];
  readonly step: At<string>;
  readonly what: string;
}
