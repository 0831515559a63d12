/**
 * The numbers of public rules for the electrical safety of vehicles. They are rules for the approval of vehicles;
 * ISO 6469-3 says of itself that it does not fully cover people who maintain and repair them. The vehicle maker's
 * figures take precedence.
 */
export type VoltageKind = 'direct' | 'alternating';

/** V above which a circuit is high voltage (direct; alternating root mean square). Source: UN R100; ISO 6469-3, class B (editions: base/standards.ts). */
export const highVoltageAbove: Readonly<Record<VoltageKind, number>> = { direct: 60, alternating: 30 };

/** V up to which UN R100 knows high voltage in a road vehicle (from memory: its definition of high voltage). */
export const highVoltageUpTo: Readonly<Record<VoltageKind, number>> = { direct: 1_500, alternating: 1_000 };

/** Minimum insulation resistance in Ω per volt of working voltage. Source: UN R100, 5.1.3; ISO 6469-3. */
export const insulationPerVolt: Readonly<Record<VoltageKind, number>> = { direct: 100, alternating: 500 };

/**
 * The same where DC and AC circuits are joined and the AC side has no further protection. Source: UN R100, 5.1.3.2.
 */
export const insulationPerVoltJoined = 500;

/** Ω that the bonding of a conductive part stays below, measured with at least 0.2 A. Source: UN R100, 5.1.2.2. */
export const bondingBelow = 0.1;
