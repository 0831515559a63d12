/**
 * What steps need, by task: the table of needs. Common practice, no source, except where a row names one; the vehicle
 * maker's procedure and local rules go first.
 */

import { talking } from './effects.ts';
import type { FactId } from './effects.ts';
import type { Hazard } from './tasks.ts';

const set = (tasks: string): ReadonlySet<string> => new Set(tasks.split(' '));

/**
 * Work on a high-voltage or interlock connector for which the system is proven dead (HSE: isolate and prove dead before any work).
 * A part that is taken off or refitted and names its plug pulls at that plug.
 */
export const needsDead = set(
  'disconnect cover uncover clean reconnect lock measure-resistance measure-insulation remove refit',
);
/** The same while the connector is open. The look at a closed plug needs nothing. */
export const needsDeadWhileOpen = set('inspect check-seated');
/**
 * Work on a connector whose opening is the isolation that is done with gloves before the proof or after the lock is off, as
 * the vehicle maker specifies. A meter or a cleaning still needs a dead system.
 */
export const glovedOnIsolating = set('disconnect cover uncover inspect reconnect lock check-seated');
/** Work on the traction battery as a whole. */
export const needsDeadOnTheVehicle = set('lower-battery raise-battery');

/** Work on a restraint connector or pyrotechnic disconnect for which 12 V is off and the vehicle maker's wait is over. */
export const needsRestraintSafe = set('disconnect cover uncover inspect clean reconnect lock check-seated');

/** Work on trim, seats and parts that may carry an airbag or a pretensioner whose connector is in the same zone. */
export const mayCarryIgniters = set('remove refit');
/** Work whose blows or cuts may meet an airbag, a pretensioner or their harness in the same zone. Welding needs 12 V off anyway. */
export const mayHitIgniters = set('cut drill grind straighten');
/** Where the airbags and pretensioners of a common body sit, for plans that name none: seats, steering wheel, pillars, headliner. */
export const ignitersMaySit = set('cabin roof');
/** Work that may open or heat a gas generator that was left in its zone. Straightening moves only the metal around it. */
export const mayOpenInflators = set('cut drill grind weld braze');

/** Work by hand before the system is proven dead: insulating gloves are named (common practice; EN 50110-1 asks for protective equipment until the absence of voltage is verified). */
export const needsGloves = set('isolate prove-dead');
/** The same on the battery of a vehicle that came in wet or damaged. */
export const needsGlovesIfDamaged = set('inspect-battery');

/**
 * Work that is also done at parts off the vehicle, and then reaches nothing on it. Not what acts on the vehicle wherever it is
 * done: an adhesive has to cure, and a straightened bracket moves the radar that it carries.
 */
export const doneOffVehicle = set(
  'cut drill grind sand weld braze seal fill mask unmask prime paint bake polish wash',
);

/** Work among fans, belts and shafts, or with a tool in the metal, for which the vehicle is not powered. */
export const needsNotPowered = set('remove refit cut drill grind straighten');

/** Drives with an engine that starts by itself while the vehicle is on, and the zone in which it sits. */
export const startsByItself: ReadonlySet<string> = set('hybrid plug-in-hybrid mild-hybrid');
export const engineZone = 'motor-bay';

/** Work for which a vehicle is switched on, and after which it may still be. */
export const leavesOn = set('scan calibrate program');

/** Steps after which a vehicle stands switched off: whoever drives it to its place does that there, and a charged one is off. */
export const parkedAfter = set('move roller-test road-test charge-battery');

/** Steps that put the vehicle on the road, for which the adhesive of its glass and panels has cured. */
export const needsCured = set('move tow roller-test road-test send-out deliver');

/**
 * Work that has no place after the handing over. A look, a wash or a charge has; what closes, fills, tests or calibrates is asked
 * for before the handing over by itself where it is owed.
 */
export const doneBeforeHandover = set(
  'isolate lock-out prove-dead battery-12v-off support-12v-off lower-battery recover-refrigerant drain-coolant defuel purge refuel relieve-pressure disconnect cover remove refit cut drill grind sand weld braze straighten fit-panel bond seal fill mask unmask prime paint bake align-wheels program',
);
/** The part of it that is told as missing before the handing over where it certainly comes later. */
export const putsBack = set('refit unmask');

/** Steps that move the vehicle, or its battery under it: nobody is in, on or under it. */
export const movesTheVehicle = set('roll tow lower-battery raise-battery');

/** Zones in which a body that sinks on its suspension crushes: under it and in its wheel arches. */
export const underTheBody = set('underbody front-left front-right quarter-left quarter-right');

/** Steps in which the whole vehicle rolls on its wheels, or hangs on another one, without power of its own: pushed onto an alignment rack or a transporter too. */
export const rollsUnpowered = set('roll tow align-wheels send-out');

/** Work during which control units move what they drive: fans, wipers, steering, seats. */
export const wakesTheVehicle = set('calibrate program');

/** Steps that talk to control units, which then may run the pump of fuel or brakes or open the valve of a tank. */
export const wakesPumps: ReadonlySet<string> = new Set(talking);

/** Work whose blade goes into whatever runs behind the panel. */
export const cutsLines = set('cut drill');

/** Connectors that may stay open, with both halves covered, while the vehicle is moved between bays. */
export const mayStayOpenInBays = set('sensor low-voltage');

/** Work on a 48 V connector for which the 48 V system is isolated: tape, cleaner and probes bridge bare contacts. */
export const needs48VOff = set(
  'disconnect cover uncover clean reconnect measure-resistance measure-insulation remove refit',
);

/** Work whose flame or arc must meet neither refrigerant, which turns to poison when it is hot, nor fuel; a heated line bursts. */
export const heatsLines = set('weld braze');
/** Work whose sparks light fuel, or whose blade opens its line. */
export const sparksAtFuel = set('cut drill grind');
/** What throws sparks into the zones around it. */
export const sparksFly = set('cut grind');

/** Work that lets fuel or its vapour out: no spark or flame on the same vehicle meanwhile. */
export const letsFuelOut = set('relieve-pressure defuel purge refuel');
/** Work with a machine whose motor may spark where vapour lies (common practice, no source). */
export const runsMotors = set('sand polish');
/** Work that makes or breaks a 12 V clamp, where a spark jumps (common practice, no source). */
export const sparksAtClamp = set('battery-12v-off battery-12v-on support-12v support-12v-off jump-start');
/** Work at which refrigerant may escape: some kinds burn (ISO 817, classes A2L and A3; from memory), all turn to poison in a flame. */
export const movesRefrigerant = set('recover-refrigerant fill-refrigerant');
/** Work that fills the air with paint: no spark or flame at the same place meanwhile. */
export const spraysPaint = set('prime paint');

/** Hazards that reach the eyes and lungs of whoever works at the same place (common practice, no source). */
export const reachesEyes: ReadonlySet<Hazard> = new Set<Hazard>(['dust', 'conductive-debris', 'spatter']);
/** Work at open halves, of which the findings about covers tell while dirt may reach them. */
export const opensOrCovers = set('disconnect cover uncover reconnect');

/** An igniter's resistance is never measured, even with the specified tester (makers' published manuals). */
export const neverOnIgniters = set('measure-resistance measure-insulation measure-bonding');

/** Work that cuts, heats or moves metal where high-voltage cables may run (HSE: locate the cables first). */
export const nearCables = set('cut drill grind weld braze straighten');
/** The part of it that goes through metal, into what nobody sees behind it. */
export const throughCables = set('cut drill weld braze');
/** Hazards of a shop's own task that has a tool in the metal, where its row does not say what the task needs. */
export const ofToolsInMetal: ReadonlySet<Hazard> = new Set<Hazard>(['conductive-debris', 'spatter']);
/** Work that needs a distance from the traction battery, which stays live after every proof. */
export const nearBattery = set('cut drill grind weld braze');

/**
 * The facts that a row of the shop's own task may name under `needs` against a danger of its work. A need of another kind, such
 * as 12 V off for a spot welder, says nothing of the traction battery beside it.
 */
export const needsAgainst: Readonly<Record<OwnDanger, ReadonlySet<FactId>>> = {
  'welding-current': new Set([
    'isolated',
    'locked-out',
    'waited',
    'high-voltage-dead',
    'proof-fresh',
    '48v-off',
    '48v-discharged',
  ]),
  cables: new Set(['high-voltage-dead', 'proof-fresh']),
  battery: new Set(['battery-out']),
  igniters: new Set(['restraint-safe']),
  lines: new Set(['line-empty', 'depressurised', 'fuel-out', 'fuel-purged']),
  vapour: new Set(['fuel-purged']),
  '48-volt': new Set(['48v-off', '48v-discharged']),
};
/** What a tool, a flame or a hand of the shop's own task may meet. */
export type OwnDanger =
  'welding-current' | 'cables' | 'battery' | 'igniters' | 'lines' | 'vapour' | '48-volt';

/** Facts that a row of the shop's asks for beside the one it names. */
export const alsoNeeded: Partial<Record<FactId, readonly FactId[]>> = { '12v-off': ['charger-off'] };

/** Steps that need the 12 V supply. */
export const needs12V = set(
  'test-power power-up move roller-test road-test run-engine charge-battery scan calibrate program',
);

/** What may be done to a vehicle whose traction battery is wet or damaged before that is inspected. */
export const beforeBatteryCheck = set(
  'consult photograph inspect shut-down isolate lock-out wait prove-dead battery-12v-off support-12v-off inspect-battery roll tow lower-battery disconnect cover',
);

/** Work at hydrogen, natural gas or LPG that only people trained for it do: what lets the gas out, opens, closes or tests its lines, or takes off what holds it. */
export const qualifiedAtGas = set(
  'defuel purge relieve-pressure disconnect reconnect leak-test remove refit',
);
/** The part of it that lets gas out whatever line it names. */
export const letsGasOut = set('defuel purge relieve-pressure');
/** The same where the plan does such work too: anybody fills up at a filling station. */
export const fillsGas = set('refuel');
/** What a shop's own task makes that lets fuel or gas out: of the whole vehicle, or of the lines that a step names. */
export const letsOutByFact: Readonly<Record<'vehicle' | 'line', ReadonlySet<FactId>>> = {
  vehicle: new Set(['fuel-out']),
  line: new Set(['fuel-out', 'line-empty', 'depressurised']),
};

/** Work that only people with the qualification do, beside all work on the connectors concerned. */
export const qualified: Readonly<Record<string, 'high-voltage' | 'refrigerant'>> = {
  isolate: 'high-voltage',
  'lock-out': 'high-voltage',
  'lock-out-off': 'high-voltage',
  'prove-dead': 'high-voltage',
  'lower-battery': 'high-voltage',
  'raise-battery': 'high-voltage',
  'inspect-battery': 'high-voltage',
  'recover-refrigerant': 'refrigerant',
  'fill-refrigerant': 'refrigerant',
};
/** The same of a task of the shop's own, by what its row makes. */
export const qualifiedByFact: Partial<Record<FactId, 'high-voltage' | 'refrigerant'>> = {
  isolated: 'high-voltage',
  'locked-out': 'high-voltage',
  'battery-in': 'high-voltage',
  'battery-out': 'high-voltage',
  'battery-checked': 'high-voltage',
  'refrigerant-in': 'refrigerant',
};
/** What a row makes of the connectors that a step names by putting hands on them. */
export const madeByHand: ReadonlySet<FactId> = new Set<FactId>([
  'open',
  'closed',
  'locked',
  'cleaned',
  'clean',
  'protected',
  'uncovered',
  'resistance-proven',
  'insulation-proven',
  'insulation-measured',
  'discharged',
]);
/** The part of it that makes a 48 V system safe as well, which is no such work on a vehicle without high voltage. */
export const alsoOn48V = set('isolate lock-out lock-out-off prove-dead');
