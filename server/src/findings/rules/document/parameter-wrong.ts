import { nearest } from '../../../base/nearest.ts';
import type { AnyNode, ScalarNode } from '../../../document/node.ts';
import { splitQuantity, toSI, unitsOf } from '../../../document/quantity.ts';
import { rangeOf } from '../../../text/span.ts';
import { say } from '../../../language/phrase.ts';
import { operationsWhere } from '../../../plan/plan.ts';
import { symbolWords } from '../../../plan/symbols.ts';
import type { Scope } from '../../../plan/scope.ts';
import { callsOf, parameterKindWords } from '../../support/calls.ts';
import type { ProcedureCall, ParameterKind } from '../../support/calls.ts';
import type { FindingRule, FindingReport } from '../../finding.ts';
import { quantityWords } from '../../support/units.ts';

export const parameterWrong: FindingRule = {
  id: 'parameter-wrong',
  title: say`A procedure cannot use the value it is given`,
  severity: 'error',
  means: say`A step fills in a parameter with something of another kind: a time, temperature or voltage without its unit, or a connector, zone or consumable that nothing defines. Or a plan, which has no parameters, names a person as if it were one (\`by: $technician\`).`,
  why: say`The procedure cannot read the value, so its steps have nothing to act on, or no time.`,
  whatToDo: say`Write a value of the kind the procedure requires.`,
  source: say`Rule of the plan language.`,
  kinds: ['repair-plan', 'shop-procedure'],
  ground: 'names',
  example: {
    wrong: `uses: [./inspect-all.shop-procedure.yaml]
operations:
  - { id: op20, follow: inspect-all, with: { technician: technician-a, connectors: [invertor-dc], pause: 5 } }
`,
    right: `uses: [./inspect-all.shop-procedure.yaml]
operations:
  - { id: op20, follow: inspect-all, with: { technician: technician-a, connectors: [inverter-dc], pause: 5 min } }
`,
  },
  *check({ plan, document }) {
    if (document.kind === 'repair-plan') {
      for (const { id, span, step } of namedByParameter(plan)) {
        const by = step.node.get('by')!;
        yield {
          at: by.rejectedBySchema ? span : by.span,
          operation: id,
          message: say`${id} is done by "${String(by.value)}", and a plan has no parameters, so nobody is named and nobody's qualification is checked. Write the person.`,
        };
      }
    }
    for (const call of callsOf(plan)) {
      for (const { key, value } of call.given) {
        const parameter = call.parameters.find(({ name }) => name === key);
        if (!parameter) continue;
        for (const scalar of scalarsOf(value)) {
          // Inside a procedure, a parameter may be passed on.
          if (
            scalar.value === null ||
            (document.kind === 'shop-procedure' && /^\$/.test(String(scalar.value)))
          )
            continue;
          const report = judge(plan.scope, call, key, parameter.kind, scalar);
          if (report) yield report;
        }
      }
    }
  },
};

/** Steps of the plan itself in which the person is written like a parameter of a procedure. */
const namedByParameter = operationsWhere(
  ({ step, planStep }) => step === planStep && String(step.node.get('by')?.value ?? '').startsWith('$'),
);

const scalarsOf = (node: AnyNode): readonly ScalarNode<unknown>[] =>
  node.kind === 'scalar' && !node.rejectedBySchema
    ? [node]
    : node.kind === 'list'
      ? (node.items as readonly AnyNode[]).flatMap(scalarsOf)
      : [];

function judge(
  scope: Scope,
  { step, procedure }: ProcedureCall,
  name: string,
  kind: ParameterKind,
  { value, span }: ScalarNode<unknown>,
): FindingReport | undefined {
  const text = String(value);
  const start = say`${step.id} gives ${procedure} "${text}" as its ${name}`;
  const change =
    (...values: readonly string[]): FindingReport['fixes'] =>
    () =>
      values.map((to) => ({
        title: say`Change to ${to}`,
        safe: false,
        choice: values.length > 1,
        edits: [{ ...rangeOf(span), text: to }],
      }));
  if (kind === 'time' || kind === 'temperature' || kind === 'voltage') {
    if (toSI(kind, text) !== undefined) return undefined;
    const bare = splitQuantity(text)?.unit === '';
    return {
      at: span,
      operation: step.id,
      message: bare
        ? say`${start}, which has no unit. Write ${parameterKindWords[kind]}.`
        : say`${start}, which is not a ${quantityWords[kind]}. Write ${parameterKindWords[kind]}.`,
      // Which unit was meant, nobody but its author knows.
      ...(bare
        ? {
            fixes: change(
              ...unitsOf(kind)
                .slice(0, 3)
                .map((unit) => `${text} ${unit}`),
            ),
          }
        : {}),
    };
  }
  if (kind === 'person' || kind === 'text') return undefined;
  const names =
    kind === 'connectors'
      ? [...scope.connectors.keys()]
      : kind === 'zone'
        ? scope.zones.names
        : [...scope.consumables.keys()];
  // A missing or partly unreadable file may define it.
  const known = names.includes(text) || scope.unresolved.length > 0;
  if (known || [scope.document, ...scope.used].some(({ problems }) => problems.length > 0)) return undefined;
  const meant = nearest(text, names);
  const thing = kind === 'zone' ? 'zone' : kind === 'connectors' ? 'connector' : 'consumable';
  return {
    at: span,
    operation: step.id,
    message: say`${start}, and there is no ${symbolWords[thing]} of that name. ${meant ? say`Did you mean ${meant}?` : say`Correct the name.`}`,
    ...(meant ? { fixes: change(meant) } : {}),
  };
}
