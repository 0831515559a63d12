import fc from 'fast-check';
import { unit } from 'mathjs';
import { describe, expect, it } from 'vitest';
import {
  durationText,
  heatRange,
  quantityText,
  temperatureText,
  touchWarning,
  uncertainTemperature,
  uncertainText,
} from '../../server/src/heat/text.ts';

describe('numbers as the trade writes them', () => {
  it.each([
    [quantityText(0.31e-3, 'Ω'), '0.31 mΩ'],
    [quantityText(0.02e-3, 'Ω'), '0.02 mΩ'],
    [quantityText(5e-6, 'Ω'), '5 µΩ'],
    [quantityText(0.1, 'Ω'), '100 mΩ'],
    [quantityText(83.824, 'W'), '83.8 W'],
    [quantityText(999.6, 'W'), '1 kW'],
    [quantityText(90_000, 'W'), '90 kW'],
    [quantityText(0, 'W'), '0 W'],
    [quantityText(0.1612, 'V'), '161 mV'],
    // Two digits of the uncertainty, the value to the same place (GUM 7.2.6).
    [uncertainText(10.044, 0.648, 'W'), '10.04 ± 0.65 W'],
    [uncertainText(83.824, 5.408, 'W'), '83.8 ± 5.4 W'],
    [uncertainText(0.1612, 0.0104, 'V'), '161 ± 10 mV'],
    [uncertainText(1004.4, 64.8, 'W'), '1.004 ± 0.065 kW'],
    [uncertainText(90, 0.0412, 'W'), '90 ± 0.04 W'],
    [uncertainText(0.5, 2, 'W'), '0.5 ± 2 W'],
    [uncertainText(10.044, undefined, 'W'), '10 W'],
    [uncertainTemperature(382.15, 3.2), '109 ± 4 °C'],
    [uncertainTemperature(382.15, undefined), '109 °C'],
    [heatRange({ value: 10, low: 10, high: 10 }), '10 W'],
    [heatRange({ value: 10, low: 9.8, high: 11 }), '10 W (9.8 W…11 W)'],
    [heatRange({ value: 10, low: 9.8, high: Infinity }), '10 W (9.8 W…no end)'],
    [heatRange({ value: Infinity, low: 9.8, high: Infinity }), 'without end'],
    [temperatureText(358.15), '85 °C'],
    [temperatureText(253.15), '−20 °C'],
    [durationText(9.4), '9.4 s'],
    [durationText(10), '10 s'],
    [durationText(99.4), '99 s'],
    [durationText(99.5), '1.7 min'],
    [durationText(5969), '99 min'],
    [durationText(5970), '1.7 h'],
    [durationText(594), '9.9 min'],
    [durationText(597), '10 min'],
    [durationText(1279), '21 min'],
    [durationText(7200), '2 h'],
  ])('%s', (written, expected) => {
    expect(String(written)).toBe(expected);
  });

  it.each([
    [undefined, 'at the warm end of that (ISO 13732-1'],
    [0, 'at the warm end of that, and may be past 65 °C from the start (ISO 13732-1'],
    [90, 'at the warm end of that, and passes 65 °C after 90 s at the earliest (ISO 13732-1'],
  ])('a warm body that passes the threshold after %s s at the earliest', (earliest, words) => {
    const touch = {
      temperature: { value: 330, low: 320, high: 335 },
      burnsAfter: 10,
      withoutBurn: 1,
      threshold: 338.15,
      ...(earliest === undefined ? {} : { earliest }),
    };
    expect(String(touchWarning(touch, 'in use'))).toContain(words);
  });

  it('can be read back to three digits by a unit library', () => {
    const watt = fc.double({ min: -5, max: 6, noNaN: true }).map((power) => 10 ** power);
    fc.assert(
      fc.property(watt, (value) => {
        expect(unit(String(quantityText(value, 'W')).replace('µ', 'u')).toNumber('W') / value).toBeCloseTo(
          1,
          2,
        );
        expect(
          unit(String(quantityText(value, 'Ω')).replace('Ω', 'ohm').replace('µ', 'u')).toNumber('ohm') /
            value,
        ).toBeCloseTo(1, 2);
      }),
    );
  });
});
