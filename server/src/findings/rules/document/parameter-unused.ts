import type { Operation as RawOperation } from '../../../generated/repair-plan.ts';
import { nearest } from '../../../base/nearest.ts';
import { rangeOf } from '../../../text/span.ts';
import { andList, say } from '../../../language/phrase.ts';
import { callsOf } from '../../support/calls.ts';
import type { FindingRule } from '../../finding.ts';

export const parameterUnused: FindingRule = {
  id: 'parameter-unused',
  title: say`A value the procedure does not ask for`,
  severity: 'error',
  page: () => ({
    means: say`A step gives a procedure a parameter it does not have, or says of itself what only its steps can say, such as who does it or on which connectors; or a step that follows no procedure has \`with\`.`,
    why: say`The value is ignored; most often the name is misspelt, and the intended parameter keeps its default.`,
    whatToDo: say`Correct the name, or take it out.`,
    source: say`Rule of the plan language.`,
    example: {
      wrong: `uses: [./inspect-all.shop-procedure.yaml]
operations:
  - { id: op20, follow: inspect-all, with: { technician: technician-a, connectors: [inverter-dc], wait: 5 min } }
`,
      right: `uses: [./inspect-all.shop-procedure.yaml]
operations:
  - { id: op20, follow: inspect-all, with: { technician: technician-a, connectors: [inverter-dc] } }
`,
    },
  }),
  kinds: ['repair-plan', 'shop-procedure'],
  ground: 'names',
  *check({ plan }) {
    for (const { id, node, follows } of plan.steps) {
      const values = node.entry('with');
      if (follows || !values) continue;
      yield {
        at: values.keySpan,
        operation: id,
        message: say`${id} follows no procedure, so its \`with\` is ignored. Write what it says as keys of ${id} itself.`,
      };
    }
    for (const { step, procedure, parameters, given } of callsOf(plan)) {
      for (const key of notOfCalls) {
        const entry = step.node.entry(key);
        // That a step both does and follows something is told by its form.
        if (!entry || step.node.entry('do')) continue;
        yield {
          at: entry.keySpan,
          operation: step.id,
          message: say`${step.id} follows ${procedure}, so its own \`${key}\` is ignored: the steps of ${procedure} are done as they stand. Give it under \`with\`, as a parameter of ${procedure}, or take it out.`,
        };
      }
      const names = parameters.map(({ name }) => name);
      const free = names.filter((name) => !given.some(({ key }) => key === name));
      for (const { key, keySpan } of given) {
        if (names.includes(key)) continue;
        const meant = nearest(key, free);
        yield {
          at: keySpan,
          operation: step.id,
          message: say`${procedure} does not ask for ${key}, so the value in ${step.id} is ignored. ${meant ? say`Did you mean ${meant}?` : names.length > 0 ? say`It requires ${andList(names)}.` : say`Take it out.`}`,
          fixes: () =>
            meant
              ? [
                  {
                    title: say`Change to ${meant}`,
                    safe: false,
                    edits: [{ ...rangeOf(keySpan), text: meant }],
                  },
                ]
              : [],
        };
      }
    }
  },
};

/** Keys that say nothing in a step that follows a procedure: all that a step has, but for its name, its call and its order. */
const notOfCalls = Object.keys({
  connectors: true,
  halves: true,
  using: true,
  zone: true,
  by: true,
  time: true,
  'glove-class': true,
  'meter-rating': true,
  'meter-proven': true,
  'proven-at': true,
  'test-voltage': true,
  discharged: true,
  'hold-time': true,
  'air-temperature': true,
  'panel-temperature': true,
  'drive-wheels': true,
  'put-down': true,
  'cable-route': true,
  'battery-distance': true,
  'maker-procedure': true,
  note: true,
} satisfies Record<Exclude<keyof RawOperation, 'id' | 'do' | 'follow' | 'with' | 'after'>, true>);
