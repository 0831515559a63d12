/**
 * The built-in tasks: the hazards each raises, how far they reach, and whether labour is owed for it. Common
 * practice, no source; a shop extends or overrides it with `tasks:` in its rate sheet.
 */

import { emptyList } from '../../base/collections.ts';
import { say } from '../../language/phrase.ts';
import type { Phrase } from '../../language/phrase.ts';
import type { FactId } from './effects.ts';

export type Hazard = 'dust' | 'conductive-debris' | 'overspray' | 'moisture' | 'heat' | 'spatter' | 'knock';
/** How far hazards reach, the nearest first. */
export const hazardReaches = ['zone', 'beside', 'everywhere'] as const;
type HazardReach = (typeof hazardReaches)[number];

/** Hazards that contaminate an open half. Heat and knocks have their own checks. */
export const contaminating: ReadonlySet<Hazard> = new Set([
  'dust',
  'conductive-debris',
  'overspray',
  'moisture',
  'spatter',
]);

export const hazardWords: Readonly<Record<Hazard, Phrase>> = {
  dust: say`dust`,
  'conductive-debris': say`metal debris`,
  overspray: say`overspray`,
  moisture: say`water`,
  heat: say`heat`,
  spatter: say`sparks`,
  knock: say`knocks`,
};

export interface Task {
  readonly id: string;
  /** As in "before *grinding* (op40)". */
  readonly doing: Phrase;
  readonly raises: readonly Hazard[];
  readonly reach: HazardReach;
  /** The vehicle is powered, moved under its own power, or handed over: everything must be closed and proven. */
  readonly gate: boolean;
  readonly owesLabour: boolean;
  /** Somebody works on the vehicle by hand. */
  readonly handsOn: boolean;
  /** What a shop's own row adds to the table of effects; a built-in need is never taken away. */
  readonly needs: readonly FactId[];
  /** It is known what it needs: a built-in task, or a row of the shop's that says `needs:`, if only `[]`. */
  readonly needsStated: boolean;
  /** A built-in task, or a row of the shop's that says what it raises, if only `[]`. */
  readonly saysHazards: boolean;
  /** A built-in task, or a row of the shop's that says anything of what it makes or ends, or whether it is a gate. */
  readonly saysEffects: boolean;
  readonly makes: readonly FactId[];
  readonly ends: readonly FactId[];
}

/** s. No capacitor and no airbag asks for a longer wait: such a one is for drying, cooling or watching. An assumption. */
const longestDischarge = 3600;

/** Whether a step waits for something else than a discharge. */
export const waitsForElse = (step: {
  readonly taskId: string;
  readonly time: { readonly si: number } | undefined;
}): boolean => step.taskId === 'wait' && step.time !== undefined && step.time.si > longestDischarge;

type Row = [id: string, doing: Phrase, raises?: string, reach?: HazardReach];

const rows: Row[] = [
  ['shut-down', say`shutting the vehicle down`],
  ['isolate', say`isolating the high-voltage system`],
  ['lock-out', say`locking out the high-voltage system`],
  ['wait', say`waiting for the capacitors to discharge`],
  ['prove-dead', say`proving the high-voltage system dead`],
  ['lock-out-off', say`taking the lock-out off`],
  ['isolate-48v', say`isolating the 48 V system`],
  ['battery-12v-off', say`disconnecting the 12 V battery`],
  ['battery-12v-on', say`connecting the 12 V battery`],
  ['support-12v', say`supporting the 12 V supply with a charger`],
  ['support-12v-off', say`taking the charger or jump pack off the 12 V supply`],
  ['lower-battery', say`lowering the traction battery out`],
  ['raise-battery', say`raising the traction battery into place`],
  ['inspect-battery', say`inspecting the traction battery`],
  ['recover-refrigerant', say`recovering the refrigerant`],
  ['fill-refrigerant', say`filling refrigerant`],
  ['drain-coolant', say`draining the coolant`],
  ['fill-coolant', say`filling coolant`],
  ['defuel', say`emptying the fuel system`],
  ['purge', say`freeing the fuel system of vapour`],
  ['relieve-pressure', say`relieving the pressure of the lines`],
  ['bleed', say`bleeding the lines`],
  ['refuel', say`filling fuel`],
  ['disconnect', say`disconnecting`],
  ['cover', say`covering`, 'knock', 'zone'],
  ['uncover', say`uncovering`],
  ['inspect', say`inspecting`],
  ['clean', say`cleaning`],
  ['reconnect', say`reconnecting`],
  ['lock', say`closing the lock`],
  ['check-seated', say`checking that connectors are fully seated`],
  ['measure-resistance', say`measuring the contact resistance`],
  ['measure-insulation', say`measuring the insulation`],
  ['measure-bonding', say`measuring the bonding`],
  ['prove-interlock', say`proving the interlock loop`],
  ['leak-test', say`testing for leaks`],
  ['remove', say`removing trim and parts`, 'knock', 'zone'],
  ['refit', say`refitting trim and parts`, 'knock', 'zone'],
  ['cut', say`cutting`, 'dust conductive-debris spatter', 'beside'],
  ['drill', say`drilling`, 'conductive-debris', 'beside'],
  ['grind', say`grinding`, 'dust conductive-debris spatter', 'beside'],
  ['sand', say`sanding`, 'dust', 'beside'],
  ['weld', say`welding`, 'spatter heat conductive-debris', 'beside'],
  ['braze', say`brazing`, 'spatter heat', 'beside'],
  ['straighten', say`straightening`, 'knock', 'zone'],
  ['fit-panel', say`fitting the panel`],
  ['bond', say`bonding panels or glass`],
  ['cure', say`letting the adhesive cure`],
  ['seal', say`sealing seams`],
  ['fill', say`filling`],
  ['mask', say`masking`, 'knock', 'zone'],
  ['unmask', say`taking the masking off`, 'knock', 'zone'],
  ['prime', say`priming`, 'overspray', 'beside'],
  ['paint', say`painting`, 'overspray', 'beside'],
  ['bake', say`baking`, 'heat', 'everywhere'],
  ['polish', say`polishing`, 'dust', 'beside'],
  ['wash', say`washing`, 'moisture', 'everywhere'],
  ['roll', say`pushing the vehicle by hand`],
  ['tow', say`towing the vehicle`],
  ['align-wheels', say`aligning the wheels`],
  ['end-of-shift', say`the end of the shift`, 'dust moisture', 'everywhere'],
  ['send-out', say`sending the vehicle to another firm`],
  ['take-back', say`taking the vehicle back from another firm`],
  ['photograph', say`photographing`],
  ['consult', say`reading the documents`],
  ['scan', say`scanning for fault codes`],
  ['calibrate', say`calibrating`],
  ['program', say`programming control units`],
  ['test-power', say`powering up for a test`],
  ['power-up', say`powering up`],
  ['run-engine', say`running the engine`],
  ['jump-start', say`jump-starting the vehicle`],
  ['charge-battery', say`charging the traction battery`],
  ['move', say`moving the vehicle under its own power`],
  ['roller-test', say`testing on rollers`],
  ['road-test', say`the road test`],
  ['deliver', say`handing the vehicle over to the customer`],
];

const gates = new Set([
  'test-power',
  'power-up',
  'run-engine',
  'jump-start',
  'charge-battery',
  'move',
  'roller-test',
  'road-test',
  'deliver',
]);

/** Steps that no hand works on the vehicle for. */
const handsOff = new Set([
  'wait',
  'cure',
  'consult',
  'photograph',
  'bake',
  'end-of-shift',
  'scan',
  'send-out',
  'deliver',
]);

/** Steps that handle connectors: without a name under `connectors` nobody knows which. */
export const handling: ReadonlySet<string> = new Set([
  'disconnect',
  'cover',
  'uncover',
  'reconnect',
  'lock',
  'measure-resistance',
  'measure-insulation',
  'measure-bonding',
]);

/** Steps that the published time of the surrounding operation rarely includes. Common practice, no source. */
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
      handsOn: !handsOff.has(id),
      needs: emptyList,
      needsStated: true,
      saysHazards: true,
      saysEffects: true,
      makes: emptyList,
      ends: emptyList,
    },
  ]),
);
