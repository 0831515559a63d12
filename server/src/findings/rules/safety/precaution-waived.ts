import { namesRestraint, waivedByText } from '../../../base/waiver-words.ts';
import { mapsIn } from '../../../document/node.ts';
import type { MapNode, ScalarNode } from '../../../document/node.ts';
import { memoByIdentity } from '../../../incremental/memo.ts';
import { say } from '../../../language/phrase.ts';
import { mayHaveHighVoltage } from '../../../plan/high-voltage.ts';
import type { Operation } from '../../../plan/operations.ts';
import { operationsWhere } from '../../../plan/plan.ts';
import type { Plan } from '../../../plan/plan.ts';
import { readText, readWords } from '../../../plan/read.ts';
import { hasIgniter } from '../../../plan/tables/classes.ts';
import type { FindingReport, FindingRule } from '../../finding.ts';
import { commonPractice } from '../../finding.ts';
import { named } from '../../support/words.ts';

export const precautionWaived: FindingRule = {
  id: 'precaution-waived',
  title: say`A text that leaves a precaution out`,
  severity: 'warning',
  page: () => ({
    means: say`A text that people work from says that a precaution may be left out (the lock, the wait, the proof, gloves, a cover, disconnecting the 12 V battery, chocks, purging and the like), or that work may be done live: the note of a step, the title or the note of a plan, the description of the vehicle, the name or the note of a connector, the note of a source, a measurement or a photograph. The reason of an acceptance is not read: it says why somebody accepts a finding.`,
    why: say`Whoever works from the card does what it says, and the steps around it no longer protect.`,
    whatToDo: say`Take the sentence out. Where the vehicle maker's procedure says so, name its source as \`maker-procedure\` in the step.`,
    source: commonPractice,
    example: {
      wrong: `operations:
  - { id: op10, do: isolate, note: 'Gloves are not needed here.' }
`,
      right: `operations:
  - { id: op10, do: isolate, note: 'Gloves are needed here.' }
`,
    },
  }),
  kinds: ['repair-plan', 'shop-procedure', 'connector-list'],
  ground: 'safety',
  *check({ plan }) {
    yield* inNotes(plan);
    yield* inOtherTexts(plan);
  },
};

const waivedInNote = ({ step, bindings }: Operation): string | undefined => {
  const note = step.node.get('note');
  return note && waivedByText(readWords(note, bindings) ?? '');
};
const waiving = operationsWhere((operation) => waivedInNote(operation) !== undefined);

function* inNotes(plan: Plan): Generator<FindingReport> {
  for (const operation of waiving(plan)) {
    const { step, bindings, connectors } = operation;
    if (readText(step.node.get('maker-procedure'), bindings)) continue;
    const words = waivedInNote(operation)!;
    const atIgniter = connectors.some(
      ({ value }) => plan.scope.connectors.has(value) && hasIgniter(plan.scope.connectors.get(value)!),
    );
    if (!atIgniter && !namesRestraint(words) && !mayHaveHighVoltage(plan)) continue;
    yield {
      at: operation.span,
      operation: operation.id,
      message: say`The note of ${named(operation)} says "${words}": whoever works from the card does what it says, and a precaution is left out. Take the sentence out, or name the source of the vehicle maker's procedure as \`maker-procedure: …\` in ${operation.id}.`,
    };
  }
}

type Entry = MapNode<Record<string, unknown>>;
interface Waived {
  readonly node: ScalarNode<unknown>;
  readonly words: string;
}
/** Which texts of an entry leave a precaution out. */
const waivedIn = (entry: Entry, keys: readonly string[]): Waived[] =>
  keys.flatMap((key) => {
    const node = entry.entry(key)?.value;
    if (node?.kind !== 'scalar' || typeof node.value !== 'string' || node.rejectedBySchema) return [];
    const words = waivedByText(node.value);
    return words === undefined ? [] : [{ node, words }];
  });
const waivedInEntry = memoByIdentity((entry: Entry) => waivedIn(entry, ['name', 'note']));

function* inOtherTexts(plan: Plan): Generator<FindingReport> {
  const { root } = plan.document as { readonly root: Entry | undefined };
  if (!root) return;
  const mayHarm = mayHaveHighVoltage(plan);
  const told = function* (texts: readonly Waived[], entry?: Entry): Generator<FindingReport> {
    const id = entry?.entry('id')?.value;
    for (const { node, words } of texts) {
      if (!mayHarm && !namesRestraint(words)) continue;
      yield {
        at: node.span,
        ...(id?.kind === 'scalar' && typeof id.value === 'string' ? { connector: id.value } : {}),
        message: say`This text says "${words}": whoever works from it does what it says, and a precaution is left out. Take the sentence out.`,
      };
    }
  };
  yield* told(waivedIn(root, ['title', 'note']));
  const vehicle = root.entry('vehicle')?.value;
  if (vehicle?.kind === 'map') yield* told(waivedIn(vehicle, ['description']));
  for (const entry of entriesOf(root, 'connectors')) yield* told(waivedInEntry(entry), entry);
  for (const key of ['sources', 'measurements', 'evidence'])
    for (const entry of entriesOf(root, key)) yield* told(waivedInEntry(entry));
}

const entriesOf = (root: Entry, key: string): readonly Entry[] => {
  const list = root.entry(key)?.value;
  return list?.kind === 'list' ? mapsIn<Record<string, unknown>>(list as never) : [];
};
