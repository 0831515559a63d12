/** The labour and material lines that a fix brings along, so that nothing it writes goes unbilled. */
import { labourFields, materialFields, owedLabour, owedMaterials } from '../costing/owed.ts';
import type { OwedLabour, OwedMaterial } from '../costing/owed.ts';
import { addToGroup } from '../base/collections.ts';
import { removeItem, rewrite } from '../document/edits.ts';
import type { AnyNode } from '../document/node.ts';
import { addLine } from '../findings/support/mending.ts';
import type { LabourLine, MaterialLine, Plan } from '../plan/plan.ts';
import type { Edit } from '../text/span.ts';
import type { Diagnosis } from './check.ts';

const labourKey = ({ step, task }: OwedLabour): string => `${step.id} ${task}`;
const materialKey = ({ step, item }: OwedMaterial): string => `${step.id} ${item}`;

/**
 * The lines that `now` owes and `before` did not, and the hours and quantities that change with them. Hours come from
 * the rate sheet alone: a step without a time in it gets no line. A plan without any line is not billed yet and gets none.
 * @param found what is found in `now`
 */
export function linesFor(before: Plan, now: Plan, found: readonly Diagnosis[]): Edit[] {
  if (before.labour.length + before.materials.length === 0) return [];
  const told = (finding: string, step: string): boolean =>
    found.some((diagnosis) => diagnosis.finding === finding && diagnosis.operation === step);
  const edits: Edit[] = [];
  const labour = new Map(owedLabour(before).map((owed) => [labourKey(owed), owed]));
  for (const owed of owedLabour(now)) {
    const was = labour.get(labourKey(owed));
    const { step, hours, written } = owed;
    if (hours === undefined) continue;
    if (!was && written.length === 0 && told('labour-missing', step.id)) {
      edits.push(...addLine(now, 'labour', labourFields(now, owed)));
    } else if (was?.hours !== undefined && was.hours !== hours) {
      edits.push(...changed(written.map(hoursOf), was.hours, hours));
    }
  }
  return [...edits, ...materialLines(before, now, told)];
}

function materialLines(before: Plan, now: Plan, told: (finding: string, step: string) => boolean): Edit[] {
  const edits: Edit[] = [];
  const was = new Map(owedMaterials(before).map((owed) => [materialKey(owed), owed]));
  const owedNow = owedMaterials(now);
  const keys = new Set(owedNow.map(materialKey));
  // Lines of what a step no longer takes, by step: they bill what it takes instead.
  const idle = new Map<string, MaterialLine[]>();
  for (const [key, { step, item }] of was) {
    if (keys.has(key)) continue;
    for (const line of now.materialsByStep.get(step.id) ?? [])
      if (line.item?.value === item && line.for.length === 1) addToGroup(idle, step.id, line);
  }
  for (const owed of owedNow) {
    const { step, item, quantity, written } = owed;
    const known = was.get(materialKey(owed));
    if (known) {
      if (known.quantity !== quantity) {
        edits.push(...changed(written.map(quantityOf), known.quantity, quantity));
      }
    } else if (written.length === 0 && told('material-missing', step.id)) {
      const line = idle.get(step.id)?.shift();
      if (!line) edits.push(...addLine(now, 'materials', materialFields(owed)));
      else {
        edits.push(rewrite(line.node.get('item')!, item));
        const node = line.node.get('quantity');
        if (node) edits.push(rewrite(node, String(quantity)));
      }
    }
  }
  for (const lines of idle.values())
    for (const { node } of lines) edits.push(...removeItem(now.document, 'materials', node));
  return edits;
}

/** Brings the figure of a step's only line up to date, where that figure was the owed one. */
function changed(lines: readonly Figure[], was: number, now: number): Edit[] {
  const [line] = lines;
  if (!line?.node || lines.length > 1 || line.steps > 1 || line.figure !== was) return [];
  return [rewrite(line.node, String(now))];
}

interface Figure {
  readonly node: AnyNode | undefined;
  readonly figure: number | undefined;
  /** How many steps the line bills. */
  readonly steps: number;
}

const hoursOf = (line: LabourLine): Figure => ({
  node: line.node.get('hours'),
  figure: line.hours,
  steps: line.for.length,
});
const quantityOf = (line: MaterialLine): Figure => ({
  node: line.node.get('quantity'),
  figure: line.quantity,
  steps: line.for.length,
});
