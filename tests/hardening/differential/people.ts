import { check } from '../../../server/src/features/check.ts';
import { workspaceOf } from '../../support/files.ts';
import type { Random } from '../fuzz/random.ts';

/** Work that asks for a qualification by itself. Common practice, no source; written down apart from the program's table. */
const byTask: Readonly<Record<string, string>> = {
  isolate: 'high-voltage',
  'lock-out': 'high-voltage',
  'lock-out-off': 'high-voltage',
  'prove-dead': 'high-voltage',
  'lower-battery': 'high-voltage',
  'raise-battery': 'high-voltage',
  'inspect-battery': 'high-voltage',
  'recover-refrigerant': 'refrigerant',
  'fill-refrigerant': 'refrigerant',
  // The vehicle has a line of hydrogen.
  defuel: 'gas',
  purge: 'gas',
  'relieve-pressure': 'gas',
};
/** Hands on a connector. */
const handling = ['disconnect', 'cover', 'uncover', 'clean', 'reconnect', 'lock', 'inspect', 'check-seated'];
/** A part that is taken off or refitted with what it names. */
const carrying = ['remove', 'refit'];
/** Work on high voltage alone: a meter. */
const metering = ['measure-resistance', 'measure-insulation', ...carrying];
/** What opens, closes or takes off a line of gas. */
const atGas = ['disconnect', 'reconnect', ...carrying];
const other = ['grind', 'paint', 'consult', 'wait', 'scan', 'wash'];

const connectors = [
  { id: 'hv', class: 'high-voltage-power', more: '' },
  { id: 'low', class: 'high-voltage-power', more: ', voltage: 48 V' },
  { id: 'loop', class: 'interlock', more: '' },
  { id: 'bag', class: 'restraint', more: '' },
  { id: 'fuse', class: 'pyrotechnic', more: '' },
  { id: 'gas', class: 'fluid-line', more: ', medium: refrigerant' },
  { id: 'hydrogen', class: 'fluid-line', more: ', medium: hydrogen' },
  { id: 'water', class: 'fluid-line', more: ', medium: coolant' },
  { id: 'lamp', class: 'low-voltage', more: '' },
] as const;
const kinds = ['high-voltage', 'restraint', 'refrigerant', 'gas'] as const;
const words: Readonly<Record<(typeof kinds)[number], string>> = {
  'high-voltage': 'high voltage',
  restraint: 'restraints',
  refrigerant: 'refrigerant',
  gas: 'hydrogen',
};
const names = ['kim', 'lee', 'toString', 'sam', 'constructor', 'Kim'];
const days = ['2027-02-09', '2027-02-10', '2027-02-11', '2028-02-29', '10.2.2027', '2027-02-30', 'soon'];
/** What the sheet's language takes for an id, and for a day (RFC 3339). */
const isId = (text: string): boolean => /^[a-z0-9-]+$/.test(text);
const isDay = (text: string): boolean => /^\d{4}-\d\d-\d\d$/.test(text) && text !== '2027-02-30';
const today = '2027-02-10';

/** What a connector asks of whoever does a task on it. */
function askedBy(task: string, { class: kind, id }: (typeof connectors)[number]): readonly string[] {
  const asked: string[] = [];
  if ((kind === 'high-voltage-power' && id !== 'low') || kind === 'interlock') {
    if (handling.includes(task) || metering.includes(task)) asked.push('high-voltage');
  }
  if ((kind === 'restraint' || kind === 'pyrotechnic') && [...handling, ...carrying].includes(task))
    asked.push('restraint');
  if (id === 'hydrogen' && atGas.includes(task)) asked.push('gas');
  if (id === 'gas' && (task === 'disconnect' || task === 'reconnect')) asked.push('refrigerant');
  return asked;
}

/**
 * A shop with some people, and steps done by them and by others: whoever may not do a step is told, once for each kind of
 * work, and nobody else. Edited one into the other, two such shops say what they say afresh.
 * @throws Error with what differs
 */
export function tryPeople(random: Random): number {
  const people = names
    .filter(() => random.chance(0.5))
    .map((id) => ({
      id,
      may: kinds.filter(() => random.chance(0.5)),
      until: random.chance(0.5) ? random.pick(days) : undefined,
    }));
  const expected: string[] = [];
  const lines = Array.from({ length: 1 + random.below(8) }, (_, i) => {
    const task = random.pick(random.pick([handling, metering, Object.keys(byTask), other]));
    const own = connectors.filter(() =>
      random.chance(handling.includes(task) || metering.includes(task) ? 0.3 : 0),
    );
    const by = random.chance(0.8) ? random.pick(names) : undefined;
    const asked = new Set([byTask[task] ?? [], ...own.map((one) => askedBy(task, one))].flat());
    const person = people.find(({ id }) => id === by && isId(id));
    const valid = person?.until === undefined || (isDay(person.until) && today <= person.until);
    for (const kind of asked) {
      if (
        people.length > 0 &&
        by !== undefined &&
        !(person && valid && (person.may as readonly string[]).includes(kind))
      )
        expected.push(`op${i} ${kind}`);
    }
    return `  - { id: op${i}, do: ${task}${own.length > 0 ? `, connectors: [${own.map(({ id }) => id).join(', ')}]` : ''}${by === undefined ? '' : `, by: ${by}`} }`;
  });
  const sheet = `rate-sheet: shop
currency: EUR
${people.length > 0 ? 'people:' : ''}
${people.map(({ id, may, until }) => `  - { id: ${id}, may: [${may.join(', ')}]${until === undefined ? '' : `, until: ${until}`} }`).join('\n')}
`;
  const text = `plan: P-1
vehicle: { description: Kestrel (invented), propulsion: battery-electric, system-voltage: 400 V }
uses: [./shop.rate-sheet.yaml]
connectors:
${connectors.map((one) => `  - { id: ${one.id}, class: ${one.class}, zone: rear-floor${one.more} }`).join('\n')}
operations:
${lines.join('\n')}
`;
  const uri = 'file:///plans/p.repair-plan.yaml';
  const workspace = workspaceOf({ 'p.repair-plan.yaml': text, 'shop.rate-sheet.yaml': sheet });
  const told = (): readonly string[] =>
    check(workspace, uri, { today })
      .filter(({ finding }) => finding === 'not-qualified')
      .map(
        ({ operation, message }) =>
          `${operation!} ${kinds.find((kind) => message.includes(`work on ${words[kind]}`))!}`,
      )
      .sort();
  const where = `\n${sheet}\n${text}`;
  const differ = (a: readonly string[], b: readonly string[], words: string): void => {
    if (a.join() !== b.join()) throw new Error(`${words}: ${a.join(', ')} | ${b.join(', ')}${where}`);
  };
  differ(told(), expected.sort(), 'told | by the list');
  // Without its people the sheet asks for nothing; with them again, for the same.
  const shop = 'file:///plans/shop.rate-sheet.yaml';
  workspace.set(shop, 'rate-sheet: shop\ncurrency: EUR\n');
  differ(told(), [], 'without people');
  workspace.set(shop, sheet);
  differ(told(), expected, 'with people again');
  return lines.length;
}
