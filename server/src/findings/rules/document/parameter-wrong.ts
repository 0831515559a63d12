import { nearest } from '../../../base/nearest.ts';
import { mapsIn } from '../../../document/node.ts';
import type { AnyNode, ScalarNode } from '../../../document/node.ts';
import { splitQuantity, toSI, unitsOf } from '../../../document/quantity.ts';
import { rangeOf } from '../../../text/span.ts';
import type { ShopProcedure } from '../../../generated/shop-procedure.ts';
import { say } from '../../../language/phrase.ts';
import type { Phrase } from '../../../language/phrase.ts';
import { operationsWhere } from '../../../plan/plan.ts';
import { readQuantity, readText } from '../../../plan/read.ts';
import { symbolWords } from '../../../plan/symbols.ts';
import type { Scope } from '../../../plan/scope.ts';
import { callsOf, parameterKindWords } from '../../support/calls.ts';
import type { ParameterKind } from '../../support/calls.ts';
import type { FindingRule, FindingReport } from '../../finding.ts';
import { quantityWords } from '../../support/units.ts';
import { named, valueSpan } from '../../support/words.ts';

export const parameterWrong: FindingRule = {
  id: 'parameter-wrong',
  title: say`A procedure cannot use the value it is given`,
  severity: 'error',
  page: () => ({
    means: say`A step fills in a parameter with nothing, with several values where one is read, or with something of another kind: a time, temperature or voltage without its unit, or a connector, zone or consumable that nothing defines. Or the default of a parameter is of that sort, or a step of the procedure takes a quantity from a parameter that holds none. Or a plan, which has no parameters, names a person as if it were one (\`by: $technician\`).`,
    why: say`The procedure cannot read the value, so its steps have nothing to act on, or no time: a wait without a time is no wait, and the second of two people stands on no card.`,
    whatToDo: say`Write a value of the kind the procedure requires.`,
    source: say`Rule of the plan language.`,
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
  }),
  kinds: ['repair-plan', 'shop-procedure'],
  ground: 'names',
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
    // Steps of which the call is at fault: what becomes of it is not told again.
    const faulty = new Set<string>();
    for (const call of callsOf(plan)) {
      const { step, procedure, parameters, given } = call;
      if (parameters.some(({ name, required }) => required && given.every(({ key }) => key !== name)))
        faulty.add(step.id);
      for (const { key, value } of given) {
        const parameter = parameters.find(({ name }) => name === key);
        if (!parameter) continue;
        const words: Words = {
          is: (text) => say`${step.id} gives ${procedure} "${text}" as its ${key}`,
          empty: say`${step.id} gives ${procedure} nothing as its ${key}`,
          several: say`${step.id} gives ${procedure} several values as its ${key}`,
        };
        if (value.kind === 'scalar' && value.value === null) faulty.add(step.id);
        for (const report of judge(plan.scope, words, parameter.kind, value)) {
          faulty.add(step.id);
          yield { ...report, operation: step.id };
        }
      }
    }
    if (document.kind === 'shop-procedure') {
      for (const node of mapsIn<RawParameter>(document.root?.get('parameters') as never)) {
        const [name, kind] = [node.get('name')?.value, node.get('kind')?.value];
        const value = node.entry('default')?.value;
        if (name === undefined || kind === undefined || value === undefined) continue;
        const words: Words = {
          is: (text) => say`The default of ${name} is "${text}"`,
          empty: say`The default of ${name} is empty`,
          several: say`The default of ${name} has several values`,
        };
        yield* judge(undefined, words, kind, value);
      }
      return;
    }
    for (const operation of takingQuantities(plan)) {
      const { step, planStep, bindings, id } = operation;
      if (faulty.has(planStep.id)) continue;
      for (const [key, quantity] of quantityKeys) {
        const node = step.node.get(key);
        const parameter = parameterIn(node);
        if (parameter === undefined || readQuantity(quantity, node, bindings)) continue;
        const text = readText(node, bindings);
        yield {
          at: text ? valueSpan(plan, operation, text) : operation.span,
          operation: id,
          message: text
            ? say`${named(operation)} takes \`${key}\` from ${parameter}, and "${text.value}" is not a ${quantityWords[quantity]}, so it counts as not written. Correct ${parameter} in the procedure or under \`with\`.`
            : say`${named(operation)} takes \`${key}\` from ${parameter}, and that stands for nothing, so it counts as not written. Correct ${parameter} in the procedure or under \`with\`.`,
        };
      }
    }
  },
};

type RawParameter = NonNullable<ShopProcedure['parameters']>[number];

const quantityKeys = [
  ['time', 'time'],
  ['hold-time', 'time'],
  ['air-temperature', 'temperature'],
  ['panel-temperature', 'temperature'],
  ['meter-rating', 'voltage'],
  ['test-voltage', 'voltage'],
] as const;

/** The parameter that stands for a value, with its sign. */
const parameterIn = (node: ScalarNode<unknown> | undefined): string | undefined =>
  node && !node.rejectedBySchema && /^\$/.test(String(node.value)) ? String(node.value) : undefined;

/** Steps of procedures that take a quantity from a parameter. */
const takingQuantities = operationsWhere(
  ({ step, planStep }) =>
    step !== planStep && quantityKeys.some(([key]) => parameterIn(step.node.get(key)) !== undefined),
);

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

/** What is told of a value: a call gives it, or it is a default. */
interface Words {
  readonly is: (text: string) => Phrase;
  readonly empty: Phrase;
  readonly several: Phrase;
}

/** Kinds of which a step reads one value alone. */
const single: ReadonlySet<ParameterKind> = new Set(['person', 'time', 'temperature', 'voltage', 'text']);

/** @param scope what names mean; undefined where names are not looked at */
function* judge(
  scope: Scope | undefined,
  words: Words,
  kind: ParameterKind,
  node: AnyNode,
): Generator<FindingReport> {
  if (node.rejectedBySchema) return;
  const scalars = scalarsOf(node);
  const isBlank = scalars.every(({ value }) => String(value).trim() === '');
  if (single.has(kind) && kind !== 'text' && node.kind !== 'map' && isBlank) {
    yield { at: node.span, message: say`${words.empty}. Give ${parameterKindWords[kind]}.` };
    return;
  }
  if (single.has(kind) && scalars.length > 1) {
    yield { at: node.span, message: say`${words.several}, and only the first is read. Give one alone.` };
    return;
  }
  for (const scalar of scalars) {
    // Inside a procedure, a parameter may be passed on.
    if (scalar.value === null || (scope?.document.kind !== 'repair-plan' && parameterIn(scalar))) continue;
    const report = judgeOne(scope, words, kind, scalar);
    if (report) yield report;
  }
}

function judgeOne(
  scope: Scope | undefined,
  words: Words,
  kind: ParameterKind,
  { value, span }: ScalarNode<unknown>,
): FindingReport | undefined {
  const text = String(value);
  const start = words.is(text);
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
  if (kind === 'person' || kind === 'text' || !scope) return undefined;
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
    message: say`${start}, and there is no ${symbolWords[thing]} of that name. ${meant ? say`Did you mean ${meant}?` : say`Correct the name.`}`,
    ...(meant ? { fixes: change(meant) } : {}),
  };
}
