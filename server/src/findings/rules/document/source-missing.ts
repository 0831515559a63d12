import type { MapNode } from '../../../document/node.ts';
import type { Connector as RawConnector } from '../../../generated/repair-plan.ts';
import { memoByIdentity } from '../../../incremental/memo.ts';
import { andList, say } from '../../../language/phrase.ts';
import { operationsWhere } from '../../../plan/plan.ts';
import type { Plan } from '../../../plan/plan.ts';
import { readText } from '../../../plan/read.ts';
import { sourcesById } from '../../../plan/sources.ts';
import { rangeOf } from '../../../text/span.ts';
import type { FindingReport, FindingRule } from '../../finding.ts';
import { commonPractice } from '../../finding.ts';

const ratings = ['voltage', 'current', 'resistance', 'temperature-class'] as const;
const statedIn = memoByIdentity((node: MapNode<RawConnector>) => ratings.filter((key) => node.get(key)));

export const sourceMissing: FindingRule = {
  id: 'source-missing',
  title: say`A rating or limit without its source`,
  severity: 'warning',
  page: () => ({
    means: say`A connector's voltage, current, resistance or temperature class, or the battery's bake limit, is stated without the document it comes from; or a key that asks for the vehicle maker's word (\`battery-distance\`, \`fuel-distance\`, \`tank-in-booth\`, \`cable-route\`, \`maker-procedure\`, \`source\` of the bake limit) names a document that somebody else publishes.`,
    why: say`A limit decides whether a vehicle is safe; a limit that nobody can look up can be neither trusted nor updated.`,
    whatToDo: say`Name the vehicle maker's document under \`source\`.`,
    source: commonPractice,
    example: {
      wrong: `connectors:
  - { id: inverter-dc, class: high-voltage-power, zone: rear-floor, resistance: { limit: 0.8 mΩ } }
operations: []
`,
      right: `sources: [{ id: S1, title: Connectors of the Kestrel (invented), consulted: 2027-02-03 }]
connectors:
  - { id: inverter-dc, class: high-voltage-power, zone: rear-floor, resistance: { limit: 0.8 mΩ }, source: S1 }
operations: []
`,
    },
  }),
  kinds: ['repair-plan', 'connector-list'],
  ground: 'names',
  *check({ plan, document }) {
    const root = document.root as MapNode<{ connectors?: RawConnector[] }> | undefined;
    for (const node of root?.get('connectors')?.items ?? []) {
      const id = node.kind === 'map' ? node.get('id') : undefined;
      if (!id || node.partlyParsed || node.entry('source')) continue;
      const stated = statedIn(node);
      if (stated.length === 0) continue;
      yield {
        at: node.entry(stated[0]!)!.keySpan,
        connector: id.value,
        message: say`${id.value} states ${andList(stated.map((key) => `\`${key}\``))} without a source, so nobody can look it up. Name the vehicle maker's document under \`source\`.`,
      };
    }
    if (document.kind === 'repair-plan') yield* notTheMakers(plan);
    const vehicle = plan.root?.get('vehicle');
    const limit = vehicle?.get('bake-limit');
    if (!limit || limit.entry('source') || !(limit.get('temperature') ?? limit.get('time'))) return;
    yield {
      at: vehicle!.entry('bake-limit')!.keySpan,
      message: say`The bake limit has no source, and the battery is heated on its word. Name the vehicle maker's document under \`source\`.`,
    };
  },
};

/** Keys that ask for the vehicle maker's word, and name a document of which the plan or a file it uses says that it is another's. */
function* notTheMakers(plan: Plan): Generator<FindingReport> {
  const sources = sourcesById(plan);
  const { vehicle } = plan;
  const said = [
    ...vehicleKeys.map((key) => ({ key, value: vehicle?.node.get(key), step: undefined })),
    { key: 'source', value: vehicle?.node.get('bake-limit')?.get('source'), step: undefined },
    ...onSomebodysWord(plan).flatMap((step) =>
      stepKeys.map((key) => ({ key, value: readText(step.step.node.get(key), step.bindings), step })),
    ),
  ];
  for (const { key, value, step } of said) {
    const publisher = value && sources.get(value.value)?.get('publisher')?.value;
    if (!value || publisher === undefined || publisher === 'vehicle-maker') continue;
    // Rescue sheets, which authorities publish too, show where the cables run.
    if (key === 'cable-route' && publisher === 'authority') continue;
    yield {
      at: rangeOf(value.span).uri === plan.uri ? value.span : (step?.span ?? value.span),
      ...(step ? { operation: step.id } : {}),
      message: say`\`${key}\` names ${value.value}, whose publisher is \`${publisher}\`: that is not the vehicle maker's word, and people work on it. Name the vehicle maker's document.`,
    };
  }
}
const vehicleKeys = ['battery-distance', 'fuel-distance', 'tank-in-booth', 'cable-route'] as const;
const stepKeys = ['battery-distance', 'cable-route', 'maker-procedure'] as const;
const onSomebodysWord = operationsWhere(({ step }) =>
  stepKeys.some((key) => step.node.entry(key) !== undefined),
);
