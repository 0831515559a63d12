/**
 * The table of tasks: what each raises, how far that reaches, and what it owes. Common practice, no source; a shop
 * extends or overrides it with `tasks:` in its rate sheet.
 */

export type Hazard = 'dust' | 'conductive-debris' | 'overspray' | 'moisture' | 'heat' | 'spatter' | 'knock';
type Reach = 'zone' | 'beside' | 'everywhere';

/** Hazards that soil an open half. Heat and knocks are looked at by checks of their own. */
export const soiling: ReadonlySet<Hazard> = new Set([
  'dust',
  'conductive-debris',
  'overspray',
  'moisture',
  'spatter',
]);

export const hazardWords: Readonly<Record<Hazard, string>> = {
  dust: 'dust',
  'conductive-debris': 'metal debris',
  overspray: 'overspray',
  moisture: 'water',
  heat: 'heat',
  spatter: 'sparks',
  knock: 'knocks',
};

export interface Task {
  readonly id: string;
  /** As in "before *grinding* (op40)". */
  readonly doing: string;
  readonly raises: readonly Hazard[];
  readonly reach: Reach;
  /** The vehicle is powered, moved under its own power, or handed over: everything must be closed and proven. */
  readonly gate: boolean;
  readonly owesLabour: boolean;
}

type Row = [id: string, doing: string, raises?: string, reach?: Reach];

const rows: Row[] = [
  ['isolate', 'isolating the high-voltage system'],
  ['lock-out', 'locking it against switching on'],
  ['wait', 'waiting for the capacitors'],
  ['prove-dead', 'proving it dead'],
  ['battery-12v-off', 'disconnecting the 12 V battery'],
  ['battery-12v-on', 'connecting the 12 V battery'],
  ['disconnect', 'disconnecting'],
  ['cover', 'covering', 'knock', 'zone'],
  ['uncover', 'uncovering'],
  ['inspect', 'inspecting'],
  ['clean', 'cleaning'],
  ['reconnect', 'reconnecting'],
  ['lock', 'closing the lock'],
  ['check-seated', 'checking the seat'],
  ['measure-resistance', 'measuring the contact resistance'],
  ['measure-insulation', 'measuring the insulation'],
  ['measure-bonding', 'measuring the bonding'],
  ['prove-interlock', 'proving the interlock loop'],
  ['leak-test', 'testing for leaks'],
  ['remove', 'removing trim and parts', 'knock', 'zone'],
  ['refit', 'refitting trim and parts', 'knock', 'zone'],
  ['cut', 'cutting', 'dust conductive-debris spatter', 'beside'],
  ['drill', 'drilling', 'conductive-debris', 'beside'],
  ['grind', 'grinding', 'dust conductive-debris spatter', 'beside'],
  ['sand', 'sanding', 'dust', 'beside'],
  ['weld', 'welding', 'spatter heat conductive-debris', 'beside'],
  ['braze', 'brazing', 'spatter heat', 'beside'],
  ['straighten', 'straightening', 'knock', 'zone'],
  ['fit-panel', 'fitting the panel'],
  ['bond', 'bonding panels'],
  ['seal', 'sealing seams'],
  ['fill', 'filling'],
  ['mask', 'masking', 'knock', 'zone'],
  ['unmask', 'taking the masking off', 'knock', 'zone'],
  ['prime', 'priming', 'overspray', 'beside'],
  ['paint', 'painting', 'overspray', 'beside'],
  ['bake', 'baking', 'heat', 'everywhere'],
  ['polish', 'polishing', 'dust', 'beside'],
  ['wash', 'washing', 'moisture', 'everywhere'],
  ['roll', 'rolling the car by hand'],
  ['end-of-shift', 'the end of the shift', 'dust moisture', 'everywhere'],
  ['photograph', 'photographing'],
  ['consult', 'reading the documents'],
  ['scan', 'scanning for faults'],
  ['calibrate', 'calibrating'],
  ['power-up', 'powering up'],
  ['move', 'moving the car under its own power'],
  ['road-test', 'the road test'],
  ['deliver', 'handing the car over'],
];

const gates = new Set(['power-up', 'move', 'road-test', 'deliver']);

/** Steps whose time is seldom inside the published time of the surrounding operation. Common practice, no source. */
const chargeable = new Set([
  'isolate',
  'prove-dead',
  'battery-12v-off',
  'battery-12v-on',
  'disconnect',
  'cover',
  'uncover',
  'inspect',
  'clean',
  'reconnect',
  'check-seated',
  'measure-resistance',
  'measure-insulation',
  'measure-bonding',
  'prove-interlock',
  'leak-test',
  'scan',
  'calibrate',
]);

export const builtInTasks: ReadonlyMap<string, Task> = new Map(
  rows.map(([id, doing, raises = '', reach = 'beside']) => [
    id,
    {
      id,
      doing,
      raises: raises.split(' ').filter(Boolean) as Hazard[],
      reach,
      gate: gates.has(id),
      owesLabour: chargeable.has(id),
    },
  ]),
);
