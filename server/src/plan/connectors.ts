import { mapsIn } from '../document/node.ts';
import type { AnyNode, Located, MapNode } from '../document/node.ts';
import { memoByIdentity } from '../incremental/memo.ts';
import type { Span } from '../text/span.ts';
import type { Connector as RawConnector } from '../generated/repair-plan.ts';
import type { ConnectorClass } from './tables/classes.ts';
import { readQuantity, readText } from './read.ts';
import type { WithSpan, Quantity } from './read.ts';

/** A connector merged from the plan's own entry and the connector lists; the plan takes precedence. */
export interface Connector {
  readonly id: string;
  readonly name: string;
  /** Where it is defined first, the plan before the lists. */
  readonly span: Span;
  readonly nodes: readonly MapNode<RawConnector>[];
  readonly class: ConnectorClass | undefined;
  readonly zone: string | undefined;
  readonly makerCover: NonNullable<RawConnector['maker-cover']>;
  readonly lock: boolean;
  readonly newSeal: boolean;
  readonly calibrate: boolean;
  /** Opening it is the isolation of the high-voltage system, as with a service plug. */
  readonly isolates: boolean;
  /** What a fluid line carries. */
  readonly medium: RawConnector['medium'];
  /** How a fluid line is shut off while it is open, where it is not emptied. */
  readonly shutOff: RawConnector['shut-off'];
  /** The vehicle maker's own limit of the insulation resistance. */
  readonly insulationLimit: Quantity | undefined;
  /** The highest voltage that the vehicle maker allows for an insulation test. */
  readonly testVoltage: Quantity | undefined;
  /** The source that an entry names. */
  readonly source: string | undefined;
  /** Where it differs from the system voltage. */
  readonly voltage: Quantity | undefined;
  readonly current: {
    readonly steady?: Quantity;
    readonly peak?: Quantity;
    readonly peakTime?: Quantity;
    readonly dutyCycle?: DutyCycle;
  };
  /** `at`: the temperature at which both hold. */
  readonly resistance: { readonly asNew?: Quantity; readonly limit?: Quantity; readonly at?: Quantity };
  readonly plating: RawConnector['plating'];
  readonly cable: Quantity | undefined;
  /** American Wire Gauge of the cable, as written. */
  readonly cableGauge: WithSpan<string> | undefined;
  /** Contacts that share its housing, where that is stated. */
  readonly poles: number | undefined;
  /** Its stated heat capacities, thermal resistances and rise of the cable. */
  readonly thermal: Readonly<Partial<Record<ThermalKey, Quantity>>>;
  readonly temperatureClass: Quantity | undefined;
  readonly heatBudget: Quantity | undefined;
}

/** A repeating sequence of currents, every phase of which was readable. */
export interface DutyCycle {
  readonly phases: readonly { readonly current: Quantity; readonly time: Quantity }[];
  readonly span: Span;
}

const thermalQuantities = {
  surroundings: 'temperature',
  'contact-capacity': 'heat-capacity',
  'body-capacity': 'heat-capacity',
  'contact-to-body': 'thermal-resistance',
  'body-to-surroundings': 'thermal-resistance',
  'cable-rise': 'temperature-rise',
} as const;
type ThermalKey = keyof typeof thermalQuantities;

/** The connectors of several lists, by id. Lists that come first take precedence. */
export function readConnectors(lists: readonly AnyNode[]): Map<string, Connector> {
  const nodes = new Map<string, MapNode<RawConnector>[]>();
  for (const list of lists) {
    for (const node of mapsIn<RawConnector>(list as Located<RawConnector[]>)) {
      const id = node.get('id')?.value;
      if (id === undefined) continue;
      const known = nodes.get(id);
      // A second entry in one document is a finding; it does not refine the first.
      if (!known) nodes.set(id, [node]);
      else if (known.every((other) => other.span.origin.uri !== node.span.origin.uri)) known.push(node);
    }
  }
  return new Map(
    [...nodes].map(([id, list]) => [
      id,
      list.length === 1 ? ownConnector(list[0]!, id) : readConnector(id, list),
    ]),
  );
}

/** Most connectors have one entry; then the connector follows from it alone. */
const ownConnector = memoByIdentity((node: MapNode<RawConnector>, id: string) => readConnector(id, [node]));

function readConnector(id: string, nodes: readonly MapNode<RawConnector>[]): Connector {
  const first = <T>(read: (node: MapNode<RawConnector>) => T | undefined): T | undefined => {
    for (const node of nodes) {
      const value = read(node);
      if (value !== undefined) return value;
    }
    return undefined;
  };
  const current = (key: 'steady' | 'peak'): Quantity | undefined =>
    first((node) => readQuantity('current', node.get('current')?.get(key)));
  const resistance = (key: 'as-new' | 'limit'): Quantity | undefined =>
    first((node) => readQuantity('resistance', node.get('resistance')?.get(key)));
  return {
    id,
    name: first((node) => node.get('name')?.value) ?? id,
    span: nodes[0]!.get('id')!.span,
    nodes,
    class: first((node) => node.get('class')?.value),
    zone: first((node) => node.get('zone')?.value),
    makerCover: first((node) => node.get('maker-cover')?.value) ?? 'not-stated',
    lock: first((node) => node.get('lock')?.value) ?? false,
    newSeal: first((node) => node.get('new-seal')?.value) ?? false,
    calibrate: first((node) => node.get('calibrate')?.value) ?? false,
    isolates: first((node) => node.get('isolates')?.value) ?? false,
    medium: first((node) => node.get('medium')?.value),
    shutOff: first((node) => node.get('shut-off')?.value),
    insulationLimit: first((node) => readQuantity('resistance', node.get('insulation-limit'))),
    testVoltage: first((node) => readQuantity('voltage', node.get('test-voltage'))),
    source: first((node) => node.get('source')?.value),
    voltage: first((node) => readQuantity('voltage', node.get('voltage'))),
    current: {
      ...optional('steady', current('steady')),
      ...optional('peak', current('peak')),
      ...optional(
        'peakTime',
        first((node) => readQuantity('time', node.get('current')?.get('peak-time'))),
      ),
      ...optional('dutyCycle', first(readDutyCycle)),
    },
    resistance: {
      ...optional('asNew', resistance('as-new')),
      ...optional('limit', resistance('limit')),
      ...optional(
        'at',
        first((node) => readQuantity('temperature', node.get('resistance')?.get('at'))),
      ),
    },
    plating: first((node) => node.get('plating')?.value),
    cable: first((node) => readQuantity('area', node.get('cable'))),
    cableGauge: first((node) => readText(node.get('cable-gauge'))),
    poles: validPoles(first((node) => node.get('poles')?.value)),
    thermal: Object.fromEntries(
      (Object.keys(thermalQuantities) as ThermalKey[]).flatMap((key) => {
        const value = first((node) => readQuantity(thermalQuantities[key], node.get('thermal')?.get(key)));
        return value ? [[key, value]] : [];
      }),
    ),
    temperatureClass: first((node) => readQuantity('temperature', node.get('temperature-class'))),
    heatBudget: first((node) => readQuantity('power', node.get('heat-budget'))),
  };
}

/** A count that the schema refuses is none. */
const validPoles = (value: number | undefined): number | undefined =>
  value !== undefined && Number.isInteger(value) && value >= 1 && value <= 12 ? value : undefined;

/** An unreadable phase invalidates the whole cycle: the remaining phases would be a different cycle. */
function readDutyCycle(node: MapNode<RawConnector>): DutyCycle | undefined {
  const cycle = node.get('current')?.get('duty-cycle');
  if (!cycle || cycle.rejectedBySchema || cycle.kind !== 'list') return undefined;
  const phases = cycle.items.flatMap((phase) => {
    if (phase.rejectedBySchema || phase.kind !== 'map') return [];
    const current = readQuantity('current', phase.get('current'));
    const time = readQuantity('time', phase.get('time'));
    return current && time ? [{ current, time }] : [];
  });
  return phases.length > 0 && phases.length === cycle.items.length ? { phases, span: cycle.span } : undefined;
}

function optional<K extends string, V>(key: K, value: V | undefined): { [P in K]?: V } {
  return (value === undefined ? {} : { [key]: value }) as { [P in K]?: V };
}
