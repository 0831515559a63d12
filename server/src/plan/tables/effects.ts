/**
 * The table of facts: for each, whether it holds on arrival, which tasks make it, and which end it. The engine of facts
 * (sequence/facts) decides with it what is certain when a step starts. Common practice, no source, except where a row
 * names one; the vehicle maker's procedure and local rules go first. Above 400 lines: it is one table, read as one.
 */
import { say } from '../../language/phrase.ts';
import type { Phrase } from '../../language/phrase.ts';
import type { ConnectorClass } from './classes.ts';
import { fuels, underPressure } from './fluids.ts';

/** Facts about the vehicle as a whole. */
export const vehicleFacts = [
  'shut-down',
  'not-powered',
  'isolated',
  'locked-out',
  'waited',
  'high-voltage-dead',
  'proof-fresh',
  '48v-off',
  '48v-discharged',
  '12v-off',
  '12v-on',
  'charger-off',
  'restraint-safe',
  'battery-in',
  'battery-out',
  'battery-checked',
  'insulation-measured',
  'scanned-last',
  'coolant-in',
  'refrigerant-in',
  'fuel-out',
  'fuel-purged',
  'adhesive-cured',
] as const;
export type VehicleFact = (typeof vehicleFacts)[number];

/** Facts about one connector. */
export const connectorFacts = [
  'closed',
  'open',
  'locked',
  'seated',
  'seat-checked',
  'resistance-proven',
  'insulation-proven',
  'cable-checked',
  'interlock-proven',
  'bonding-proven',
  'leak-tested',
  'scanned',
  'calibrated',
  'inspected',
  'cleaned',
  'line-empty',
  'taken-off',
  'depressurised',
  'filled',
  'bled',
  'discharged',
] as const;
export type ConnectorFact = (typeof connectorFacts)[number];

/** Facts about one half of a connector. */
export const halfFacts = ['protected', 'uncovered', 'clean'] as const;
export type HalfFact = (typeof halfFacts)[number];

export type FactId = VehicleFact | ConnectorFact | HalfFact;

/**
 * Which steps of a task concern a connector:
 * `named`: those that name it. `covering`: those that name it, and those that name no connector and work in its zone, or
 * in no zone (then the whole vehicle). `in-zone`: those that work in its zone. `soiling`, `knocking`: those whose dirt or
 * knocks reach it. `vehicle`: all, whatever they name. A fact about the vehicle concerns every step.
 */
type Concern = 'named' | 'covering' | 'in-zone' | 'soiling' | 'knocking' | 'vehicle';

export interface Effect<G extends FactId = FactId> {
  /** Tasks, by id. None with `soiling` and `knocking`, which follow from what a task raises. */
  readonly tasks: readonly string[];
  readonly concern?: Concern;
  /** Facts that must be certain when the step starts, for it to make its fact. Whatever ends one of them ends this one. */
  readonly given?: readonly G[];
  /** The step does not end the fact where this other fact about the same thing is certain when it starts. */
  readonly unless?: FactId;
  /** A condition on the step itself; see `conditions` in sequence/facts/timeline.ts. */
  readonly when?: Condition;
  /** A task of the shop's own whose row makes this fact acts as `tasks` do. For facts about the vehicle, and with `vehicle`. */
  readonly alike?: FactId;
  /** A task of the shop's own with a name like one of `tasks` acts as these do, where its row says nothing of what it makes or ends. For facts about the vehicle. */
  readonly byName?: true;
  /** The step ends what another step of the plan makes, and not what holds on arrival. For facts about connectors. */
  readonly undoes?: true;
}

/**
 * `long-enough`: a stated time is not shorter than the vehicle's restraint wait. `not-too-short`: the same, or no time is stated. `not-discharged`: the step does not state
 * `discharged: true`. `no-isolating-connector`: the plan opens no connector whose opening is the isolation
 * (`isolates: true`). `isolating-connector`: the step names one. `at-the-battery`: it works in a zone of the traction
 * battery, which is not certain to be out, or where one that may be out was put down. `at-the-battery-or-anywhere`: the same, or it
 * names no zone and no connector, and does not knock at a vehicle without its battery. `no-high-voltage`: the vehicle has none. `battery-disconnected`: it is certain that
 * the 12 V battery is. `timed`: it states a time, which is not zero. `beyond-the-waits`: it states a time longer than the vehicle
 * maker's waits for capacitors and airbags, and of `shortestWaitForCure` at least. `beyond-a-shift`: it states a time of `longestShift` at least. `whole-battery`: it names no zone, or every other zone
 * of `battery-zone` is certain to be done by a step before or beside it: of two batteries one may still be in the vehicle, out of
 * it, or uninspected. `one-of-several-batteries`: it names a zone, and a step beside it does another one. `last-lock`: it takes
 * off a lock, and it is not certain that somebody else's is still on. `on-vehicle`: it is no work at a part off the vehicle.
 */
export type Condition =
  | 'long-enough'
  | 'not-too-short'
  | 'not-discharged'
  | 'no-isolating-connector'
  | 'isolating-connector'
  | 'at-the-battery'
  | 'at-the-battery-or-anywhere'
  | 'no-high-voltage'
  | 'battery-disconnected'
  | 'timed'
  | 'beyond-the-waits'
  | 'beyond-a-shift'
  | 'whole-battery'
  | 'one-of-several-batteries'
  | 'last-lock'
  | 'on-vehicle';

/** s. No adhesive of glass or panels holds in less: bound of plausibility, an assumption (from memory: the fastest take a quarter of an hour). */
export const shortestCure = 300;
/** s. A shorter wait is one for capacitors or airbags, for which makers state up to ten minutes: bound of plausibility, an assumption. */
export const shortestWaitForCure = 900;
/** s. Whoever starts a wait as long as this has gone home before it is over: bound of plausibility, an assumption. */
export const longestShift = 8 * 3600;

export interface FactRow {
  /** As in "nothing makes certain that *the high-voltage system is isolated*". */
  readonly holds: Phrase;
  /** Whether it holds when the vehicle comes in. */
  readonly arrival: boolean;
  /** Words of `arrived-as` that turn `arrival` round. */
  readonly unlessArrivedAs?: readonly string[];
  readonly makes: readonly Effect[];
  readonly ends: readonly Effect[];
  /** What a step of a shop's own task that makes it or ends it has to meet: where it works, and for how long, decides for a shop's tasks too. */
  readonly ownMakesWhen?: Condition;
  readonly ownEndsWhen?: Condition;
}

/** Steps that put the vehicle under power, by whatever way. */
const powering = ['test-power', 'power-up', 'move', 'roller-test', 'road-test', 'run-engine', 'jump-start'];
/** Steps after which the converter may feed the 12 V net without its battery. */
const converting = [...powering, 'charge-battery'];
/** Steps that put the vehicle or its 12 V supply to life. */
export const livening: ReadonlySet<string> = new Set([...converting, 'battery-12v-on', 'support-12v']);
/** Work that moves what a camera or a radar in the same zone looks along. */
export const shiftsAim: readonly string[] = ['straighten', 'fit-panel', 'bond'];
/** Steps that talk to control units. */
export const talking: readonly string[] = ['scan', 'calibrate', 'program'];
/** Steps that wake pumps: with the 12 V supply back or control units awake, fuel and brakes build up their pressure. */
const waking = [...powering, 'battery-12v-on', 'support-12v', ...talking];
/** Steps after which an earlier isolation, lock, wait or proof proves nothing. */
export const reviving: readonly string[] = [
  ...powering,
  'charge-battery',
  'send-out',
  'take-back',
  'lock-out-off',
];
/** The same as rows: of several locks, only the last one that comes off ends what rests on them. */
const revived: readonly Effect[] = [
  { tasks: reviving.filter((task) => task !== 'lock-out-off') },
  { tasks: ['lock-out-off'], when: 'last-lock', byName: true },
];
/** Work that may crush a cable or loosen a contact in its own zone. */
const disturbing: Effect = {
  tasks: ['cut', 'drill', 'grind', 'weld', 'straighten'],
  concern: 'in-zone',
};
/** Opening a connector whose opening is the isolation, such as a service plug. */
const unplugging: Effect = { tasks: ['disconnect'], when: 'isolating-connector' };
const opening: Effect = { tasks: ['disconnect'], concern: 'named' };

/** How a vehicle may come in (`arrived-as`) so that its high-voltage system and battery are not to be trusted. */
export const wetOrDamaged: readonly string[] = ['wet', 'high-voltage-damaged'];

export const effects: Readonly<Record<FactId, FactRow>> = {
  'shut-down': {
    holds: say`the vehicle is shut down`,
    arrival: true,
    unlessArrivedAs: ['powered'],
    makes: [{ tasks: ['shut-down', 'isolate'] }, unplugging],
    // After a scan, a calibration or programming the state is not known.
    ends: [{ tasks: [...converting, ...talking] }],
  },
  'not-powered': {
    holds: say`the vehicle is not powered`,
    arrival: true,
    unlessArrivedAs: ['powered'],
    makes: [{ tasks: ['shut-down', 'isolate'] }, unplugging],
    ends: [{ tasks: converting }],
  },
  // The order follows 29 CFR 1910.147(d)(2)–(6) by analogy (shut down, isolate, affix the lock, relieve stored energy,
  // verify) and EN 50110-1.
  isolated: {
    holds: say`the high-voltage system is isolated`,
    arrival: false,
    makes: [{ tasks: ['isolate'] }, unplugging],
    ends: [...revived, { tasks: ['reconnect'], alike: 'closed', when: 'isolating-connector' }],
  },
  'locked-out': {
    holds: say`the high-voltage system is locked out`,
    arrival: false,
    makes: [{ tasks: ['lock-out'], given: ['isolated'] }],
    ends: [],
  },
  waited: {
    holds: say`the capacitors have had the vehicle maker's wait`,
    arrival: false,
    makes: [{ tasks: ['wait'], given: ['locked-out'] }],
    ends: [],
  },
  'high-voltage-dead': {
    holds: say`the high-voltage system is proven dead`,
    arrival: false,
    makes: [{ tasks: ['prove-dead'], given: ['waited'] }],
    ends: [],
  },
  // Rolling drive wheels generate voltage (HSE, Electric and hybrid vehicles).
  'proof-fresh': {
    holds: say`the proof that the high-voltage system is dead is fresh`,
    arrival: false,
    makes: [{ tasks: ['prove-dead'], given: ['waited'] }],
    ends: [
      { tasks: ['end-of-shift', 'roll', 'tow', 'align-wheels'], byName: true },
      { tasks: ['wait', 'cure'], when: 'beyond-a-shift' },
      { tasks: ['battery-12v-on', 'support-12v'], alike: '12v-on', when: 'no-isolating-connector' },
    ],
  },
  '48v-off': {
    holds: say`the 48 V system is isolated`,
    arrival: false,
    // Beside high voltage, the 48 V system has a battery of its own.
    makes: [{ tasks: ['isolate-48v'] }, { tasks: ['isolate'], when: 'no-high-voltage' }],
    ends: revived,
  },
  // A supercapacitor or the capacitors of a converter hold their charge after the isolation.
  '48v-discharged': {
    holds: say`the capacitors of the 48 V system have had the vehicle maker's wait`,
    arrival: false,
    makes: [{ tasks: ['wait'], given: ['48v-off'] }],
    ends: [],
  },
  '12v-off': {
    holds: say`the 12 V battery is disconnected`,
    arrival: false,
    makes: [{ tasks: ['battery-12v-off'] }],
    ends: [{ tasks: ['battery-12v-on', ...powering, 'send-out', 'take-back'] }],
  },
  '12v-on': {
    holds: say`the 12 V battery is connected`,
    arrival: true,
    makes: [{ tasks: ['battery-12v-on', 'support-12v', 'jump-start'] }],
    // A charger that is taken off leaves the supply to the battery.
    ends: [{ tasks: ['battery-12v-off'] }, { tasks: ['support-12v-off'], when: 'battery-disconnected' }],
  },
  // It feeds the 12 V supply while the battery is disconnected. Nobody drives with it.
  'charger-off': {
    holds: say`no charger or jump pack is on the 12 V supply`,
    arrival: true,
    makes: [{ tasks: ['support-12v-off', 'move', 'road-test'] }],
    ends: [{ tasks: ['support-12v', 'jump-start'] }],
  },
  // The wait starts after the 12 V battery is off; a charger feeds the 12 V net without it, a powered car from its converter.
  'restraint-safe': {
    holds: say`12 V is off, the vehicle is not powered, and the vehicle maker's wait for airbags and pretensioners is over`,
    arrival: false,
    makes: [{ tasks: ['wait'], given: ['12v-off', 'charger-off', 'not-powered'], when: 'long-enough' }],
    ends: [],
    ownMakesWhen: 'not-too-short',
  },
  'battery-in': {
    holds: say`the traction battery is in place`,
    arrival: true,
    makes: [{ tasks: ['raise-battery'], when: 'whole-battery' }],
    ends: [{ tasks: ['lower-battery'] }, { tasks: ['raise-battery'], when: 'one-of-several-batteries' }],
  },
  'battery-out': {
    holds: say`the traction battery is out of the vehicle`,
    arrival: false,
    makes: [{ tasks: ['lower-battery'], when: 'whole-battery' }],
    ends: [{ tasks: ['raise-battery'] }, { tasks: ['lower-battery'], when: 'one-of-several-batteries' }],
    ownMakesWhen: 'whole-battery',
  },
  'battery-checked': {
    holds: say`the traction battery is inspected`,
    arrival: true,
    unlessArrivedAs: wetOrDamaged,
    makes: [{ tasks: ['inspect-battery'], when: 'whole-battery' }],
    // A pull at the sills or the floor strains the housing and its mounts; so does one where the battery lies.
    ends: [
      { tasks: ['straighten'], when: 'at-the-battery' },
      { tasks: ['inspect-battery'], when: 'one-of-several-batteries' },
    ],
    ownEndsWhen: 'at-the-battery-or-anywhere',
  },
  // Water and crushed cables put the traction voltage on the body (49 CFR 571.305 asks for isolation after a crash).
  'insulation-measured': {
    holds: say`the insulation of a vehicle that came in wet or damaged is measured`,
    arrival: true,
    unlessArrivedAs: wetOrDamaged,
    makes: [{ tasks: ['measure-insulation'] }],
    ends: [],
  },
  'scanned-last': {
    holds: say`a scan follows the last work on the 12 V supply, calibration or programming`,
    arrival: true,
    makes: [{ tasks: ['scan'] }],
    ends: [{ tasks: ['battery-12v-off', 'calibrate', 'program'] }],
  },
  'coolant-in': {
    holds: say`the coolant is filled`,
    arrival: true,
    makes: [{ tasks: ['fill-coolant'] }],
    ends: [{ tasks: ['drain-coolant'] }],
  },
  'refrigerant-in': {
    holds: say`the refrigerant is filled`,
    arrival: true,
    makes: [{ tasks: ['fill-refrigerant'] }],
    ends: [{ tasks: ['recover-refrigerant'] }],
  },
  'fuel-out': {
    holds: say`the fuel system is emptied`,
    arrival: false,
    makes: [{ tasks: ['defuel'] }],
    ends: [{ tasks: ['refuel'] }],
  },
  // What is left in an emptied tank is vapour, which explodes (source: see heat-at-line).
  'fuel-purged': {
    holds: say`the fuel system is freed of vapour`,
    arrival: false,
    makes: [{ tasks: ['purge'], given: ['fuel-out'] }],
    ends: [],
  },
  // The time is that of the maker of the adhesive; heat shortens it.
  'adhesive-cured': {
    holds: say`the adhesive of glass and panels has had its time to cure`,
    arrival: true,
    makes: [
      { tasks: ['cure'], when: 'timed' },
      { tasks: ['wait'], when: 'beyond-the-waits' },
      { tasks: ['bake'], when: 'on-vehicle' },
      { tasks: ['end-of-shift'] },
    ],
    ends: [{ tasks: ['bond'] }],
    ownMakesWhen: 'timed',
  },

  closed: {
    holds: say`the connector is closed`,
    arrival: true,
    makes: [{ tasks: ['reconnect'], concern: 'named' }],
    ends: [opening],
  },
  // The opposite of `closed` where neither is certain.
  open: {
    holds: say`the connector is open`,
    arrival: false,
    makes: [opening],
    ends: [{ tasks: ['reconnect'], concern: 'named' }],
  },
  locked: {
    holds: say`its lock is closed`,
    arrival: true,
    makes: [{ tasks: ['lock'], concern: 'named', given: ['closed'] }],
    ends: [],
  },
  seated: {
    holds: say`it is checked to be fully seated`,
    arrival: true,
    makes: [
      { tasks: ['reconnect', 'measure-bonding', 'prove-interlock', 'leak-test'], concern: 'named' },
      { tasks: ['check-seated'], concern: 'covering' },
    ],
    ends: [
      { tasks: [], concern: 'knocking' },
      // A part that is taken off with its plug still on hangs on its cable.
      { tasks: ['remove', 'refit'], concern: 'named', unless: 'open' },
    ],
  },
  'seat-checked': {
    holds: say`it is checked to be fully seated after closing`,
    arrival: true,
    makes: [{ tasks: ['check-seated'], concern: 'covering', given: ['closed'] }],
    ends: [],
  },
  'resistance-proven': {
    holds: say`its contact resistance is measured`,
    arrival: true,
    makes: [{ tasks: ['measure-resistance'], concern: 'covering', given: ['closed', 'locked'] }],
    ends: [disturbing],
  },
  'insulation-proven': {
    holds: say`its insulation is measured`,
    arrival: true,
    makes: [{ tasks: ['measure-insulation'], concern: 'covering', given: ['closed'] }],
    ends: [disturbing],
  },
  'cable-checked': {
    holds: say`its cable is looked at after the work beside it`,
    arrival: true,
    makes: [
      { tasks: ['inspect'], concern: 'named' },
      { tasks: ['measure-insulation'], concern: 'covering' },
    ],
    ends: [disturbing],
  },
  'interlock-proven': {
    holds: say`its interlock loop is proven`,
    arrival: true,
    makes: [{ tasks: ['prove-interlock'], concern: 'covering', given: ['closed'] }],
    ends: [],
  },
  'bonding-proven': {
    holds: say`its bonding is measured`,
    arrival: true,
    makes: [{ tasks: ['measure-bonding'], concern: 'covering', given: ['closed'] }],
    ends: [disturbing],
  },
  'leak-tested': {
    holds: say`it is tested for leaks`,
    arrival: true,
    makes: [{ tasks: ['leak-test'], concern: 'covering', given: ['closed'] }],
    // A test of an empty circuit proves nothing of the filled one. Refrigerant is tested before it is filled.
    ends: [{ tasks: ['fill-coolant', 'refuel', 'bleed'], concern: 'covering' }],
  },
  scanned: {
    holds: say`a scan for fault codes follows its closing`,
    arrival: true,
    makes: [{ tasks: ['scan'], concern: 'covering', given: ['closed'] }],
    ends: [],
  },
  calibrated: {
    holds: say`it is calibrated`,
    arrival: true,
    makes: [{ tasks: ['calibrate'], concern: 'covering', given: ['closed'] }],
    ends: [
      // A windscreen or a panel that is fitted again, and an axle that is set, move what a camera or a radar looks along.
      { tasks: shiftsAim, concern: 'in-zone' },
      { tasks: ['align-wheels'], concern: 'covering', undoes: true },
      // A control unit that is programmed may forget where its camera or radar looks.
      { tasks: ['program'], concern: 'covering', undoes: true },
    ],
  },
  inspected: {
    holds: say`it is inspected since it was last bare`,
    arrival: true,
    makes: [{ tasks: ['inspect'], concern: 'named' }],
    ends: [opening, { tasks: ['uncover'], concern: 'named' }],
  },
  cleaned: {
    holds: say`it is cleaned since it was last bare`,
    arrival: true,
    makes: [{ tasks: ['clean'], concern: 'named' }],
    ends: [opening, { tasks: ['uncover'], concern: 'named' }],
  },
  'line-empty': {
    holds: say`the line is empty`,
    arrival: false,
    makes: [{ tasks: ['drain-coolant', 'recover-refrigerant', 'defuel'], concern: 'covering' }],
    ends: [{ tasks: ['fill-coolant', 'fill-refrigerant', 'refuel'], concern: 'covering' }],
  },
  'taken-off': {
    holds: say`it is taken off with what it holds emptied`,
    arrival: false,
    makes: [{ tasks: ['remove'], concern: 'named', given: ['line-empty'] }],
    ends: [{ tasks: ['refit'], concern: 'named' }],
  },
  // A pump or a tank valve builds the pressure up again as soon as the vehicle is awake.
  depressurised: {
    holds: say`the pressure of the line is relieved`,
    arrival: false,
    makes: [{ tasks: ['relieve-pressure', 'defuel'], concern: 'covering' }],
    ends: [
      { tasks: ['refuel'], concern: 'covering' },
      { tasks: waking, concern: 'vehicle' },
    ],
  },
  filled: {
    holds: say`its circuit is filled`,
    arrival: true,
    makes: [{ tasks: ['fill-coolant', 'fill-refrigerant'], concern: 'covering' }],
    ends: [{ tasks: ['drain-coolant', 'recover-refrigerant'], concern: 'covering' }],
  },
  // Air in a line of brakes or steering is squeezed instead of pressing.
  bled: {
    holds: say`the air is bled out of it`,
    arrival: true,
    makes: [{ tasks: ['bleed'], concern: 'covering', given: ['closed'] }],
    ends: [],
  },
  // An insulation test charges what it tests, and with it whatever else hangs on the same circuit.
  discharged: {
    holds: say`it is discharged after the insulation test`,
    arrival: true,
    makes: [{ tasks: ['wait', 'prove-dead'] }],
    ends: [
      {
        tasks: ['measure-insulation'],
        alike: 'insulation-proven',
        concern: 'vehicle',
        when: 'not-discharged',
      },
    ],
  },

  protected: {
    holds: say`the half is closed or covered`,
    arrival: true,
    makes: [{ tasks: ['cover', 'reconnect'], concern: 'named' }],
    // Taking a cover off a closed connector bares no contact.
    ends: [opening, { tasks: ['uncover'], concern: 'named', unless: 'closed' }],
  },
  uncovered: {
    holds: say`no cover is left on the half`,
    arrival: true,
    makes: [{ tasks: ['uncover'], concern: 'named' }],
    ends: [{ tasks: ['cover'], concern: 'named' }],
  },
  clean: {
    holds: say`the half is clean`,
    arrival: true,
    makes: [{ tasks: ['clean'], concern: 'named' }],
    ends: [{ tasks: [], concern: 'soiling', unless: 'protected' }],
  },
};

/** What ends with the opening of a connector, beside that it is closed. */
const endedByOpening: readonly FactId[] = ['protected', 'inspected', 'cleaned'];

/**
 * What a row of the shop's ends beside what it says, for facts that cannot hold together: whoever connects the 12 V supply ends
 * that it is off, and a vehicle under power is not isolated. Built-in tasks have rows of their own above.
 */
export const alsoEnds: Readonly<Record<'makes' | 'ends', Partial<Record<FactId, readonly FactId[]>>>> = {
  makes: {
    '12v-on': ['12v-off', 'depressurised'],
    '12v-off': ['12v-on'],
    'battery-in': ['battery-out'],
    'battery-out': ['battery-in'],
    closed: ['open'],
    open: ['closed', ...endedByOpening],
    protected: ['uncovered'],
    uncovered: ['protected'],
    bled: ['leak-tested'],
  },
  ends: { 'not-powered': ['shut-down', 'isolated', '48v-off', 'depressurised'], closed: endedByOpening },
};

/** Facts that a row of the shop's cannot make both. */
export const contrary: readonly (readonly [FactId, FactId])[] = [
  ['12v-off', '12v-on'],
  ['battery-in', 'battery-out'],
  ['open', 'closed'],
];

/** What no step makes safe while it throws dust, debris, sparks or paint, or washes: that work is a step of its own. */
export const madeCleanly: ReadonlySet<FactId> = new Set<FactId>([
  'isolated',
  'locked-out',
  'waited',
  '48v-off',
  '48v-discharged',
  '12v-off',
  'charger-off',
  'restraint-safe',
  'battery-checked',
  'discharged',
  'bled',
]);
/** The built-in tasks that may make them by a row of the shop's. */
export const makesSafe: ReadonlySet<string> = new Set([
  'shut-down',
  'isolate',
  'isolate-48v',
  'lock-out',
  'wait',
  'prove-dead',
  'battery-12v-off',
  'support-12v-off',
  'inspect-battery',
  'bleed',
]);
/** What only a reading or a test proves, and the built-in tasks that take one. */
export const measuredProofs: ReadonlySet<FactId> = new Set<FactId>([
  'resistance-proven',
  'insulation-proven',
  'insulation-measured',
  'bonding-proven',
  'interlock-proven',
]);
export const measures: ReadonlySet<string> = new Set([
  'measure-resistance',
  'measure-insulation',
  'measure-bonding',
  'prove-interlock',
]);
/** What no step makes certain while it gives off heat or sparks. */
export const madeWithoutFire: ReadonlySet<FactId> = new Set<FactId>([
  'fuel-out',
  'fuel-purged',
  'line-empty',
  'depressurised',
]);

/** What a row of the shop's makes beside what it says. */
export const alsoMakes: Partial<Record<FactId, readonly FactId[]>> = { closed: ['protected', 'seated'] };

/** Which fluids a task puts in, takes out or lets off. */
export const fluidsOfTask: Readonly<Record<string, ReadonlySet<string>>> = {
  'drain-coolant': new Set(['coolant']),
  'fill-coolant': new Set(['coolant']),
  'recover-refrigerant': new Set(['refrigerant']),
  'fill-refrigerant': new Set(['refrigerant']),
  defuel: fuels,
  'relieve-pressure': new Set([...fuels, ...underPressure]),
  bleed: new Set(['hydraulic']),
  purge: fuels,
  refuel: fuels,
};

/** What must be certain of a connector before the vehicle is used, first links first; later links follow from them. */
export interface UseRow {
  readonly fact: ConnectorFact;
  readonly classes: readonly ConnectorClass[] | 'all';
  /** Only connectors with this quality. */
  readonly only?: 'lock' | 'calibrate' | 'high-voltage' | 'hydraulic';
  /** Not connectors whose opening is the isolation: once such a connector is closed the system is live, and no meter goes to it. */
  readonly notIsolating?: true;
  /** The latest step by which it must hold: any gate, the first move under its own power, the road, or the handing over. Without such a step: the end of the plan, except for gates. */
  readonly by: 'gate' | 'drive' | 'road' | 'deliver';
}

export const beforeUse: readonly UseRow[] = [
  { fact: 'locked', classes: 'all', only: 'lock', by: 'gate' },
  { fact: 'seat-checked', classes: ['low-voltage', 'sensor', 'data', '48-volt'], by: 'gate' },
  { fact: 'resistance-proven', classes: ['high-voltage-power'], notIsolating: true, by: 'gate' },
  {
    fact: 'insulation-proven',
    classes: ['high-voltage-power'],
    only: 'high-voltage',
    notIsolating: true,
    by: 'gate',
  },
  { fact: 'interlock-proven', classes: ['interlock'], by: 'gate' },
  { fact: 'bonding-proven', classes: ['earth'], by: 'road' },
  { fact: 'leak-tested', classes: ['fluid-line'], by: 'gate' },
  { fact: 'bled', classes: ['fluid-line'], only: 'hydraulic', by: 'drive' },
  { fact: 'scanned', classes: ['restraint', 'pyrotechnic', 'sensor', 'data'], by: 'deliver' },
  { fact: 'calibrated', classes: 'all', only: 'calibrate', by: 'deliver' },
];
