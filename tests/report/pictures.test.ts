import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ESTIMATE_NOTE, estimateHeat } from '../../server/src/heat/estimate.ts';
import type { HeatInput } from '../../server/src/heat/estimate.ts';
import { cyclePicture } from '../../server/src/report/pictures/cycle-picture.ts';
import { heatPicture } from '../../server/src/report/pictures/heat-picture.ts';
import { heatPictures, picturesOf } from '../../server/src/report/pictures/pictures.ts';
import { temperaturePicture } from '../../server/src/report/pictures/temperature-picture.ts';

const FULL: HeatInput = {
  steady: 180,
  peak: 520,
  peakTime: 10,
  asNew: 0.2e-3,
  limit: 0.5e-3,
  measured: { value: 0.31e-3, uncertainty: 0.02e-3 },
  cableArea: 50e-6,
  temperatureClass: 398.15,
  budget: 12,
  cycle: [
    { current: 480, duration: 10 },
    { current: 120, duration: 60 },
    { current: -200, duration: 10 },
    { current: 0, duration: 40 },
  ],
};

const pictures = { heat: heatPicture, temperature: temperaturePicture, cycle: cyclePicture };

/** Every tag closed in its turn, and every & the start of an entity. */
function isWellFormed(svg: string): boolean {
  const open: string[] = [];
  for (const [, close, name, self] of svg.matchAll(/<(\/?)([a-zA-Z]+)(?:\s+[\w-]+="[^"<]*")*(\/?)>/g)) {
    if (close) {
      if (open.pop() !== name) return false;
    } else if (!self) open.push(name!);
  }
  const rest = svg.replace(/<\/?[a-zA-Z]+(?:\s+[\w-]+="[^"<]*")*\/?>/g, '');
  return open.length === 0 && !/[<>]/.test(rest) && !/&(?!(?:amp|lt|gt|quot|#39);)/.test(svg);
}

/** Centres of the marks, in the order they are drawn. */
function marks(svg: string): { x: number; y: number }[] {
  return [...svg.matchAll(/class="mark[^"]*" transform="translate\(([-\d.]+) ([-\d.]+)\)"/g)].map(
    ([, x, y]) => ({
      x: Number(x),
      y: Number(y),
    }),
  );
}

const words = (svg: string): string[] =>
  [...svg.matchAll(/<text[^>]*>([^<]*)</g)].map(([, content]) => content!);

describe.each(Object.entries(pictures))('the %s picture', (_, draw) => {
  it('is one closed piece of SVG with the estimate’s caution in sight and in its description', () => {
    const svg = String(draw(estimateHeat(FULL), 'inverter-dc'));
    expect(isWellFormed(svg)).toBe(true);
    expect(words(svg).join(' ')).toContain(String(ESTIMATE_NOTE).replaceAll("'", '&#39;'));
    expect(/<desc>([^<]*)/.exec(svg)![1]).toContain('not a measurement');
    expect(svg).not.toMatch(/<script|href|url\(|@import|onload/);
  });

  it('escapes any connector id', () => {
    const svg = String(draw(estimateHeat(FULL), `</text><script>alert("1")</script>&'`));
    expect(isWellFormed(svg)).toBe(true);
    expect(svg).not.toContain('<script');
    expect(svg).toContain('&lt;script&gt;');
  });

  it('is not drawn without a resistance or without a current', () => {
    expect(
      draw(estimateHeat({ ...FULL, asNew: undefined, limit: undefined, measured: undefined }), 'x'),
    ).toBeUndefined();
    expect(draw(estimateHeat({ asNew: 0.2e-3, limit: 0.5e-3 }), 'x')).toBeUndefined();
  });

  it('stays well-formed and free of nonsense for any input', () => {
    const amount = fc.option(
      fc.double({ min: -14, max: 14, noNaN: true }).map((power) => 10 ** power),
      { nil: undefined },
    );
    const kelvin = fc.option(fc.integer({ min: 150, max: 800 }), { nil: undefined });
    const inputs = fc.record({
      steady: amount,
      peak: amount,
      peakTime: amount,
      cycle: fc.array(
        fc.record({ current: amount.map((one) => (one ?? 0) * 1), duration: amount.map((one) => one ?? 1) }),
        { maxLength: 5 },
      ),
      asNew: amount,
      limit: amount,
      cableArea: amount,
      temperatureClass: kelvin,
      ambient: kelvin,
      budget: amount,
      thermal: fc.record({ contactCapacity: amount, bodyToSurroundings: amount }),
    });
    fc.assert(
      fc.property(inputs, fc.string(), (input, connector) => {
        // A connector may itself be called NaN.
        const drawn = draw(estimateHeat(input), connector.replaceAll(/[NuI]/g, '-'));
        if (drawn === undefined) return;
        const svg = String(drawn);
        expect(isWellFormed(svg)).toBe(true);
        expect(svg).not.toMatch(/NaN|undefined|Infinity/);
      }),
    );
  });
});

describe('the heat picture', () => {
  it('puts tenfold resistance at equal steps, tenfold heat at equal steps', () => {
    const svg = String(heatPicture(estimateHeat(FULL), 'inverter-dc'));
    // Six rows: a mark at steady and at peak current each, then the table's.
    const drawn = marks(svg);
    expect(drawn).toHaveLength(18);
    const steady = drawn.slice(0, 12).filter((_, i) => i % 2 === 0);
    const [, , clean, ten, hundred, thousand] = steady;
    for (const axis of ['x', 'y'] as const) {
      const step = ten![axis] - clean![axis];
      expect(hundred![axis] - ten![axis]).toBeCloseTo(step, 0);
      expect(thousand![axis] - hundred![axis]).toBeCloseTo(step, 0);
    }
    // (520/180)² in heat, at the same resistance.
    const [low, high] = drawn;
    expect(high!.x).toBe(low!.x);
    expect((low!.y - high!.y) / (clean!.y - ten!.y)).toBeCloseTo(2 * Math.log10(520 / 180), 1);
  });

  it('shows computed values and omits the others', () => {
    const full = words(String(heatPicture(estimateHeat(FULL), 'inverter-dc')));
    expect(full).toEqual(
      expect.arrayContaining([
        '0.31 mΩ',
        '± 0.02 mΩ',
        '83.8 W',
        '± 5.4 W',
        '161 mV',
        '± 10 mV',
        'limit 0.5 mΩ',
        'peak 520 A',
      ]),
    );
    expect(full.join(' ')).toMatch(/The reading is below the limit by more than its uncertainty/);
    const few = words(String(heatPicture(estimateHeat({ steady: 180, asNew: 0.2e-3 }), 'inverter-dc')));
    expect(few.join(' ')).not.toMatch(/peak|limit 0|budget|cable/);
  });
});

describe('the cycle picture', () => {
  it('draws the first cycle from cold, a settled one, and the currents below both', () => {
    const estimate = estimateHeat(FULL);
    const svg = String(cyclePicture(estimate, 'inverter-dc'));
    expect(words(svg)).toEqual(
      expect.arrayContaining([
        'first cycle, from cold',
        'a cycle once temperatures have settled',
        '480 A',
        '−200 A',
      ]),
    );
    // Four segments, of which three carry current, below two panels.
    expect(svg.match(/class="strip"/g)).toHaveLength(6);
    // As new, limit, measured and the first dirt row, in both panels: hotter once it has settled.
    const drawn = marks(svg);
    for (const row of [0, 1, 2]) expect(drawn[4 + row]!.y).toBeLessThan(drawn[row]!.y);
    expect(words(svg)).toEqual(expect.arrayContaining(['9.22 W', '± 0.59 W']));
  });

  it('is not drawn without a cycle', () => {
    expect(cyclePicture(estimateHeat({ ...FULL, cycle: undefined }), 'x')).toBeUndefined();
    expect(picturesOf(estimateHeat({ ...FULL, cycle: undefined }), 'x')).toHaveLength(2);
  });
});

describe('the temperature picture', () => {
  it('draws a second panel only for a peak, a band only for assumptions, a class only when given', () => {
    const full = String(temperaturePicture(estimateHeat(FULL), 'inverter-dc'));
    expect(full).toContain('then 520 A for 10 s');
    expect(full).toContain('class="band"');
    expect(full).toContain('temperature class 125 °C');
    const bare = String(
      temperaturePicture(
        estimateHeat({
          steady: 180,
          asNew: 0.2e-3,
          ambient: 298.15,
          thermal: {
            contactCapacity: 20,
            bodyCapacity: 300,
            contactToBody: 0.5,
            bodyToSurroundings: 4,
            coefficient: 0.00393,
            cableRise: 20,
            cableShare: 0.5,
          },
        }),
        'inverter-dc',
      ),
    );
    expect(bare).not.toMatch(/then|class="band"|temperature class|Assumed/);
  });

  it('orders the marks as the resistances at the end of the peak', () => {
    const svg = String(temperaturePicture(estimateHeat(FULL), 'inverter-dc'));
    // As new, limit, measured and the first dirt row: in both panels.
    const [asNew, limit, measured] = marks(svg).slice(4, 8);
    expect(limit!.y).toBeLessThan(measured!.y);
    expect(measured!.y).toBeLessThan(asNew!.y);
    expect(measured!.x).toBe(asNew!.x);
  });
});

describe('the pictures together', () => {
  it('are stacked in one closed piece of SVG without touching', () => {
    const estimate = estimateHeat(FULL);
    const both = String(heatPictures(estimate, 'inverter-dc'));
    expect(isWellFormed(both)).toBe(true);
    const heights = picturesOf(estimate, 'inverter-dc').map((svg) =>
      Number(/height="(\d+)"/.exec(String(svg))![1]),
    );
    expect([...both.matchAll(/<svg y="(\d+)" xmlns/g)].map(([, y]) => Number(y))).toEqual([
      0,
      heights[0],
      heights[0]! + heights[1]!,
    ]);
    expect(both).toContain(`viewBox="0 0 720 ${heights[0]! + heights[1]! + heights[2]!}"`);
  });

  it('are one if there is only one, and none if there is nothing to draw', () => {
    const heatEstimate = estimateHeat({ peak: 500, limit: 0.5e-3 });
    expect(String(heatPictures(heatEstimate, 'x'))).toBe(String(heatPicture(heatEstimate, 'x')));
    expect(heatPictures(estimateHeat({}), 'x')).toBeUndefined();
  });
});
