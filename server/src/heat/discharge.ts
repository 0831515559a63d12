/**
 * Discharge of the capacitors behind an opened high-voltage connector. SI units: volt, ohm, farad, second, joule.
 * A computed time never replaces proving dead with a proven meter: a discharge resistor can be open.
 */

/** V DC at or below which a circuit is no longer high voltage. Source: UN R100; ISO 6469-3, voltage class A. */
export const HIGH_VOLTAGE_DC = 60;

/** J at which stored energy is no longer counted as dangerous after a crash. Source: ISO 6469-4:2015 and UN R100; clause not checked (5.2.2 of the former is the voltage). */
export const STORED_ENERGY_LIMIT = 0.2;

export interface DischargeCircuit {
  /** Ω, the resistor that empties the capacitor */
  readonly resistance: number;
  /** F */
  readonly capacitance: number;
  /** V at the start */
  readonly voltage: number;
}

/** Voltage in V after `time` s: V0·e^(−t/RC). Source: OpenStax College Physics, "DC Circuits Containing Resistors and Capacitors". */
export function voltageAfter({ resistance, capacitance, voltage }: DischargeCircuit, time: number): number {
  return voltage * Math.exp(-time / (resistance * capacitance));
}

/**
 * Time in s until the voltage has fallen to `target` V: RC·ln(V0/V); 0 when it is there already.
 * @throws RangeError when the target is not above zero: an exponential never gets there.
 */
export function dischargeTime(
  { resistance, capacitance, voltage }: DischargeCircuit,
  target: number,
): number {
  if (!(target > 0)) throw new RangeError('a discharge never reaches zero volts; name a voltage above zero');
  return Math.max(0, resistance * capacitance * Math.log(voltage / target));
}

/** Energy in J of `capacitance` F at `voltage` V: ½CV². */
export function storedEnergy(capacitance: number, voltage: number): number {
  return 0.5 * capacitance * voltage * voltage;
}

export interface DischargeWait {
  /** s until 60 V DC */
  readonly toVoltage: number;
  /** s until 0.2 J */
  readonly toEnergy: number;
  /** J left at 60 V DC, or at the start when that is lower */
  readonly energyAtVoltage: number;
}

/**
 * Both waits, because they are two tests: 60 V holds less than 0.2 J only below 111 µF. No margin is added;
 * the vehicle maker's waiting time goes first.
 */
export function dischargeWait(circuit: DischargeCircuit): DischargeWait {
  const energyVoltage = Math.sqrt((2 * STORED_ENERGY_LIMIT) / circuit.capacitance);
  return {
    toVoltage: dischargeTime(circuit, HIGH_VOLTAGE_DC),
    toEnergy: dischargeTime(circuit, energyVoltage),
    energyAtVoltage: storedEnergy(circuit.capacitance, Math.min(circuit.voltage, HIGH_VOLTAGE_DC)),
  };
}
