import type { ScalarNode } from '../../../document/node.ts';
import type { QuantityName } from '../../../document/quantity.ts';
import { say } from '../../../language/phrase.ts';
import type { Phrase } from '../../../language/phrase.ts';
import { classRules } from '../../../plan/tables/classes.ts';
import { dangerByName, otherHalfByName } from '../../../plan/tables/own-names.ts';
import type { Plan } from '../../../plan/plan.ts';
import { readQuantity } from '../../../plan/read.ts';
import type { Connector } from '../../../plan/scope.ts';
import { exceeds } from '../../support/compare.ts';
import { valueSpan } from '../../support/words.ts';
import type { FindingReport, FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';

const isHighVoltage = (node: Connector['nodes'][number]): boolean =>
  node.get('class')?.value === 'high-voltage-power';

export const classContradicted: FindingRule = {
  id: 'class-contradicted',
  title: say`What a connector is, told in two ways`,
  severity: 'error',
  page: () => ({
    means: say`A connector has one class in the plan and another one in a list that the plan uses. The plan's counts. Or one file says that opening it is the isolation (\`isolates: true\`), and another that gives its high-voltage class does not. Or two files give it different media, or the one that counts asks for less than the other: no lock, no calibration, no new seal, a lesser cover, a lower voltage or current, a milder limit or temperature class (a warning). Or its name speaks of an airbag, of high voltage, of 48 V, of fuel, of refrigerant or of brakes and other lines under pressure, and its class or medium is of something harmless, or of a pyrotechnic disconnect that carries high voltage, and only one of the two is listed (both a warning).`,
    why: say`The class decides what must be safe before the connector is opened: a high-voltage plug that the plan calls a sensor is opened live without a word.`,
    whatToDo: say`Find out which is right, and leave it in one place only.`,
    source: say`The plan and the connector lists that it uses.`,
    example: {
      wrong: `connectors:
  - { id: motor-plug, class: sensor, zone: motor-bay }
uses: [./example.rate-sheet.yaml, ./example.connector-list.yaml]
operations:
  - { id: op10, do: consult }
`,
      right: `connectors:
  - { id: motor-plug, zone: motor-bay }
uses: [./example.rate-sheet.yaml, ./example.connector-list.yaml]
operations:
  - { id: op10, do: consult }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'names',
  *check({ plan }) {
    for (const connector of plan.scope.connectors.values()) {
      const { id, nodes } = connector;
      yield* misnamed(plan, connector);
      yield* halfKnown(plan, connector);
      if (nodes.length < 2) continue;
      yield* asksLess(plan, connector);
      const classes = nodes.flatMap((node) => node.get('class') ?? []);
      const [counts] = classes;
      const other = classes.find(({ value }) => value !== counts!.value);
      // Whoever says that opening it isolates lets it be opened before the proof.
      const isolating = nodes.find((node) => node.get('isolates')?.value === true);
      const against = isolating && nodes.find((node) => node !== isolating && isHighVoltage(node));
      if (!other && isolating && against && against.get('isolates')?.value !== true) {
        const stated = isolating.get('isolates')!;
        yield {
          at: valueSpan(plan, connector, stated),
          connector: id,
          message: say`One file says that opening ${id} is the isolation, and another file that describes ${id} does not, so ${id} is opened here without proof that it is dead. Find out which is right, and write \`isolates\` in both or in none.`,
          trace: [{ at: against.get('id')!.span, message: say`the other file: ${id}` }],
        };
      }
      if (!counts || !other) continue;
      yield {
        at: valueSpan(plan, connector, counts),
        connector: id,
        message: say`Two files disagree about ${id}: ${classRules[counts.value].words} here, ${classRules[other.value].words} in the other, and the class decides what must be made safe first. Find out which is right, and write the class in one place only.`,
        trace: [{ at: other.span, message: say`the other class: ${other.value}` }],
      };
    }
  },
};

type Entry = Connector['nodes'][number];
type Stated = ScalarNode<unknown>;

/** A key of which two files may say different things, and whether the first asks for less than the other. */
interface Demand {
  readonly key: string;
  readonly of: (node: Entry) => Stated | undefined;
  readonly asksLess: (counts: Stated, other: Stated) => boolean;
}

const isFalse = (counts: Stated, other: Stated): boolean => counts.value === false && other.value === true;
const byAmount =
  (quantity: QuantityName, less: (counts: number, other: number) => boolean) =>
  (counts: Stated, other: Stated): boolean => {
    const [a, b] = [readQuantity(quantity, counts), readQuantity(quantity, other)];
    return a !== undefined && b !== undefined && less(a.si, b.si);
  };

const demands: readonly Demand[] = [
  { key: 'lock', of: (node) => node.get('lock'), asksLess: isFalse },
  { key: 'calibrate', of: (node) => node.get('calibrate'), asksLess: isFalse },
  { key: 'new-seal', of: (node) => node.get('new-seal'), asksLess: isFalse },
  {
    key: 'maker-cover',
    of: (node) => node.get('maker-cover'),
    asksLess: (counts, other) => counts.value !== 'dummy-plug' && other.value === 'dummy-plug',
  },
  { key: 'voltage', of: (node) => node.get('voltage'), asksLess: byAmount('voltage', (a, b) => a < b) },
  {
    key: 'limit',
    of: (node) => node.get('resistance')?.get('limit'),
    asksLess: byAmount('resistance', (a, b) => a > b),
  },
  {
    key: 'insulation-limit',
    of: (node) => node.get('insulation-limit'),
    asksLess: byAmount('resistance', (a, b) => a < b),
  },
  {
    key: 'test-voltage',
    of: (node) => node.get('test-voltage'),
    asksLess: byAmount('voltage', (a, b) => a > b),
  },
  {
    key: 'temperature-class',
    of: (node) => node.get('temperature-class'),
    asksLess: byAmount('temperature', exceeds),
  },
  ...(['steady', 'peak'] as const).map((key): Demand => ({
    key,
    of: (node) => node.get('current')?.get(key),
    asksLess: byAmount('current', (a, b) => exceeds(Math.abs(b), Math.abs(a))),
  })),
];

/** What else two files say differently, where what counts asks for less; of the medium any difference is told. */
function* asksLess(plan: Plan, connector: Connector): Generator<FindingReport> {
  const { id, nodes } = connector;
  const [medium, ...media] = nodes.flatMap((node) => node.get('medium') ?? []);
  const otherMedium = media.find(({ value }) => value !== medium!.value);
  if (medium && otherMedium) {
    yield {
      at: valueSpan(plan, connector, medium),
      connector: id,
      message: say`Two files disagree about ${id}: it holds \`${medium.value}\` here, \`${otherMedium.value}\` in the other, and the medium decides what must be let out before ${id} is opened. Find out which is right, and write the medium in one place only.`,
      trace: [{ at: otherMedium.span, message: say`the other medium: ${otherMedium.value}` }],
    };
  }
  for (const { key, of, asksLess: isLess } of demands) {
    const [counts, ...others] = nodes.flatMap((node) => of(node) ?? []);
    const other = counts && others.find((one) => isLess(counts, one));
    if (!counts || !other) continue;
    const [here, there] = [String(counts.value), String(other.value)];
    yield {
      at: valueSpan(plan, connector, counts),
      connector: id,
      severity: 'warning',
      message: say`Two files disagree about ${id}: \`${key}\` is ${here} here, ${there} in the other, and only the one that asks for less is checked. Find out which the vehicle maker specifies, and write it in one place only.`,
      trace: [{ at: other.span, message: say`the other: ${there}` }],
    };
  }
}

/** A pyrotechnic disconnect in a high-voltage circuit is listed as two connectors, since a class knows of one danger. */
function* halfKnown(plan: Plan, connector: Connector): Generator<FindingReport> {
  const other = otherHalfByName(connector);
  if (other === undefined) return;
  const { id, name, nodes } = connector;
  const isListed = [...plan.scope.connectors.values()].some(
    (one) => one.class === other && (other === 'pyrotechnic' || otherHalfByName(one) !== undefined),
  );
  if (isListed) return;
  const stated = nodes.flatMap((node) => node.get('class') ?? [])[0]!;
  yield {
    at: valueSpan(plan, connector, stated),
    connector: id,
    severity: 'warning',
    message: say`${id} is called "${name}": by that it carries high voltage and holds an igniter, and only what its class \`${stated.value}\` asks for is checked. List its other plug as a connector of its own with \`class: ${other}\`, or give ${id} a name that does not mislead.`,
  };
}

/** A connector whose name speaks of a danger that its class or medium knows nothing of. */
function* misnamed(plan: Plan, connector: Connector): Generator<FindingReport> {
  const danger = dangerByName(connector);
  if (danger === undefined) return;
  const { id, name, nodes } = connector;
  const stated = nodes.flatMap(
    (node) => node.get(connector.class === 'fluid-line' ? 'medium' : 'class') ?? [],
  )[0]!;
  yield {
    at: valueSpan(plan, connector, stated),
    connector: id,
    severity: 'warning',
    message: warnings[danger](id, name, stated.value),
  };
}

const warnings: Readonly<
  Record<NonNullable<ReturnType<typeof dangerByName>>, (id: string, name: string, stated: string) => Phrase>
> = {
  restraint: (id, name, stated) =>
    say`${id} is called "${name}" and has the class \`${stated}\`, so nothing that keeps an airbag or a pretensioner from firing is checked. Write \`class: restraint\`, or give ${id} a name that does not mislead.`,
  'high-voltage-power': (id, name, stated) =>
    say`${id} is called "${name}" and has the class \`${stated}\`, so nothing that protects from high voltage is checked. Write \`class: high-voltage-power\`, or give ${id} a name that does not mislead.`,
  '48-volt': (id, name, stated) =>
    say`${id} is called "${name}" and has the class \`${stated}\`, so nothing that protects from an arc of the 48 V system is checked. Write \`class: 48-volt\`, or give ${id} a name that does not mislead.`,
  fuel: (id, name, stated) =>
    say`${id} is called "${name}" and holds \`${stated}\`, so nothing that keeps fuel from a spark is checked. Write the fuel as \`medium\`, or give ${id} a name that does not mislead.`,
  refrigerant: (id, name, stated) =>
    say`${id} is called "${name}" and holds \`${stated}\`, so nothing that has the refrigerant recovered before the line is opened is checked. Write \`medium: refrigerant\`, or give ${id} a name that does not mislead.`,
  pressure: (id, name, stated) =>
    say`${id} is called "${name}" and holds \`${stated}\`, so nothing that lets the pressure out and has the line bled is checked. Write \`hydraulic\` or \`compressed-air\` as \`medium\`, or give ${id} a name that does not mislead.`,
};
