import type { AnyNode, MapNode } from '../document/node.ts';
import type { Span } from '../text/span.ts';
import type { RepairPlan } from '../generated/repair-plan.ts';
import { readIds, readQuantity } from './read.ts';
import type { WithSpan, Quantity } from './read.ts';
import { wetOrDamaged } from './tables/effects.ts';

type Raw = RepairPlan['vehicle'];

/** What the plan says about the vehicle's energy system; what it does not say, or says unreadably, is undefined. */
export interface Vehicle {
  readonly node: MapNode<Raw>;
  /** Span of the `vehicle` key, for findings about values missing under it. */
  readonly span: Span;
  readonly systemVoltage: Quantity | undefined;
  readonly voltageKind: Raw['voltage-kind'];
  /** What the vehicle maker says of the AC circuits that are joined to the battery. */
  readonly acSide: Raw['ac-side'];
  readonly dischargeWait: Quantity | undefined;
  /** The vehicle maker's wait between 12 V off and work on airbags and pretensioners. */
  readonly restraintWait: Quantity | undefined;
  /** The source that shows where its high-voltage cables run. */
  readonly cableRoute: string | undefined;
  /** The zones in which the traction battery sits. */
  readonly batteryZones: readonly WithSpan<string>[];
  /** The source with the vehicle maker's least distance of hot work from the traction battery. */
  readonly batteryDistance: string | undefined;
  /** The zones in which fuel tanks and fuel lines run. */
  readonly fuelZones: readonly WithSpan<string>[];
  /** The source with the vehicle maker's least distance of heat and sparks from fuel. */
  readonly fuelDistance: string | undefined;
  /** The source with the vehicle maker's word on a filled gas tank in a booth. */
  readonly tankInBooth: string | undefined;
  /** In what state it came in. */
  readonly arrivedAs: readonly string[];
  /** Why no scan is possible, with the source that says so. */
  readonly noScan: { readonly reason: string; readonly source: string } | undefined;
  readonly linkCapacitance: Quantity | undefined;
  readonly bleedResistance: Quantity | undefined;
  readonly bakeLimit: { readonly temperature: Quantity | undefined; readonly time: Quantity | undefined };
  readonly batteryTemperature: Quantity | undefined;
  readonly batteryTimeConstant: Quantity | undefined;
}

/** Whether a vehicle came in wet or with high-voltage damage. */
export const cameInWetOrDamaged = (vehicle: Vehicle | undefined): boolean =>
  vehicle?.arrivedAs.some((word) => wetOrDamaged.includes(word)) === true;

/** @param span the span of its key */
export function readVehicle(span: Span | undefined, value: AnyNode | undefined): Vehicle | undefined {
  if (!span || !value || value.rejectedBySchema || value.kind !== 'map') return undefined;
  const node = value as unknown as MapNode<Raw>;
  const limit = node.get('bake-limit');
  const scan = node.get('scan');
  const [reason, source] = [scan?.get('not-possible')?.value, scan?.get('source')?.value];
  return {
    node,
    span,
    systemVoltage: readQuantity('voltage', node.get('system-voltage')),
    voltageKind: node.get('voltage-kind')?.value,
    acSide: node.get('ac-side')?.value,
    dischargeWait: readQuantity('time', node.get('discharge-wait')),
    restraintWait: readQuantity('time', node.get('restraint-wait')),
    cableRoute: node.get('cable-route')?.value,
    batteryZones: readIds(node.get('battery-zone')),
    batteryDistance: node.get('battery-distance')?.value,
    fuelZones: readIds(node.get('fuel-zone')),
    fuelDistance: node.get('fuel-distance')?.value,
    tankInBooth: node.get('tank-in-booth')?.value,
    arrivedAs: readIds(node.get('arrived-as') as Parameters<typeof readIds>[0]).map(
      ({ value: word }) => word,
    ),
    noScan: reason?.trim() && source ? { reason, source } : undefined,
    linkCapacitance: readQuantity('capacitance', node.get('link-capacitance')),
    bleedResistance: readQuantity('resistance', node.get('bleed-resistance')),
    bakeLimit: {
      temperature: readQuantity('temperature', limit?.get('temperature')),
      time: readQuantity('time', limit?.get('time')),
    },
    batteryTemperature: readQuantity('temperature', node.get('battery-temperature')),
    batteryTimeConstant: readQuantity('time', node.get('battery-time-constant')),
  };
}
