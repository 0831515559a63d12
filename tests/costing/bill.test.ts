import Big from 'big.js';
import currencyCodes from 'currency-codes';
import fc from 'fast-check';
import Fraction from 'fraction.js';
import { describe, expect, it } from 'vitest';
import { billOf } from '../../server/src/costing/bill.ts';
import type { Bill } from '../../server/src/costing/bill.ts';
import { currencies, minorUnitDecimals } from '../../server/src/costing/currency.ts';
import { decimalOf, splitEvenly, sumAmounts } from '../../server/src/costing/decimal.ts';
import { owedLabour } from '../../server/src/costing/owed.ts';
import { estimateCsv } from '../../server/src/report/print/estimate-data.ts';
import { fixAll } from '../../server/src/features/fixes.ts';
import type { Plan } from '../../server/src/plan/plan.ts';
import type { Workspace } from '../../server/src/workspace/workspace.ts';
import { sampleUri, sampleWorkspace, workspaceOf } from '../support/files.ts';

const uri = 'file:///plans/a.repair-plan.yaml';

interface Shop {
  readonly currency?: string;
  readonly sheet?: string;
  readonly plan?: string;
}

const operations = `operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc, hv-loop, park-sensor] }
  - { id: op30, do: cover, connectors: [inverter-dc], using: [tape] }
`;

function billFor({ currency = 'EUR', sheet = '', plan = operations }: Shop): Bill {
  const files = {
    'a.rate-sheet.yaml': `rate-sheet: a
currency: ${currency}
rates:
  - { id: electrical, per-hour: '96.00' }
  - { id: body, per-hour: 78.50 }
times:
  - { task: disconnect, hours: 0.1, per: connector, rate: electrical }
  - { task: inspect, hours: 0.2 }
consumables:
  - { id: tape, name: Insulating tape, kind: tape, price: 0.605, unit: strip }
  - { id: plug, kind: dummy-plug, price: '14.50', charged: false }
  - { id: bag, kind: bag }
${sheet}`,
    'a.repair-plan.yaml': `plan: EX-1
vehicle: { description: Kestrel (invented), propulsion: battery-electric }
uses: [./a.rate-sheet.yaml]
connectors:
  - { id: inverter-dc, class: high-voltage-power }
  - { id: hv-loop, class: interlock }
  - { id: park-sensor, class: sensor }
${plan}`,
  };
  return billOf(workspaceOf(files).plan(uri)!);
}

const lines = (labour: string, materials = ''): string =>
  `${operations}labour:\n${labour}\n${materials && `materials:\n${materials}\n`}`;

const text = (amount: Big | undefined): string => amount?.toFixed() ?? 'unknown';

describe('currencies (ISO 4217, package currency-codes 2.2.0 as oracle)', () => {
  it('knows the minor unit of every currency that has one', () => {
    // Precious metals, bond units, the IMF's right and test codes: ISO gives them no minor unit.
    const without = /^X(A[GU]|B[A-D]|DR|P[DT]|SU|TS|UA|XX)$/;
    const listed = currencyCodes.data.filter(({ code }) => !without.test(code));
    expect([...currencies].sort()).toEqual(listed.map(({ code }) => code).sort());
    for (const { code, digits } of listed) expect([code, minorUnitDecimals(code)]).toEqual([code, digits]);
    expect(minorUnitDecimals('XAU')).toBeUndefined();
    expect(minorUnitDecimals('EUX')).toBeUndefined();
  });
});

describe('decimals', () => {
  it.each([
    ['0.10', '0.1'],
    ['12.50', '12.5'],
    ['1e-1', '0.1'],
    ['1e2', '100'],
    ['1E+2', '100'],
    [`0.${'1'.repeat(15)}`, `0.${'1'.repeat(15)}`],
    ['1'.repeat(15), '1'.repeat(15)],
    ['.5', '0.5'],
    ['5.', '5'],
    ['+7', '7'],
    // 2^53 + 1 is no binary number: read through one, it would lose its last digit.
    ['9007199254.740993', '9007199254.740993'],
  ])('%s is %s', (written, exact) => {
    expect(text(decimalOf(written))).toBe(exact);
  });

  it.each(['', '-1', '1e999', '12,50', '0x10', '.', '1e', '1'.repeat(16), `0.${'1'.repeat(16)}`])(
    '%s is none',
    (written) => expect(decimalOf(written)).toBeUndefined(),
  );

  it('splits an amount into shares that add up to it and differ by at most one unit', () => {
    fc.assert(
      fc.property(
        fc.bigInt(0n, 10n ** 15n),
        fc.integer({ min: 1, max: 40 }),
        fc.constantFrom(0, 2, 3, 4),
        (units, count, decimals) => {
          const amount = new Big(units.toString()).div(new Big(10).pow(decimals));
          const parts = splitEvenly(amount, count, decimals);
          expect(parts).toHaveLength(count);
          expect(text(sumAmounts(parts))).toBe(text(amount));
          const unit = new Big(10).pow(-decimals);
          expect(parts[0]!.minus(parts.at(-1)!).lte(unit)).toBe(true);
          for (const part of parts) expect(part.mod(unit).eq(0)).toBe(true);
        },
      ),
    );
  });
});

describe('amounts, worked by hand', () => {
  const labour = (line: string, shop: Shop = {}): string => {
    const [charge] = billFor({ ...shop, plan: lines(`  - { for: op20, ${line} }`) }).labour;
    return charge!.gap ?? text(charge!.amount);
  };
  const material = (line: string, shop: Shop = {}): string => {
    const plan = lines('  - { for: op20, hours: 0 }', `  - { for: op30, ${line} }`);
    const [charge] = billFor({ ...shop, plan }).materials;
    return charge!.gap ?? text(charge!.amount);
  };

  it.each([
    // 0.3 × 96.00 = 28.80, which binary numbers make 28.799999999999997.
    ['hours: 0.3, rate: electrical', '28.8'],
    ['hours: 3e-1, rate: electrical', '28.8'],
    // 0.7 × 78.50 = 54.95
    ['hours: 0.7, rate: body', '54.95'],
    // 0.1 × 78.50 = 7.85
    ['hours: 0.1, rate: body', '7.85'],
    ['hours: 1.5, rate: electrical, basis: included', '0'],
    ['hours: 0', '0'],
    ['hours: 0.3', 'no-rate'],
    ['hours: 0.3, rate: glass', 'rate-unknown'],
    ['hours: fill-in, rate: electrical', 'blank'],
  ])('labour %s: %s', (line, amount) => expect(labour(line)).toBe(amount));

  it.each([
    // 0.605 → 0.61, half up; binary rounding would say 0.60 or 0.61 by luck.
    ['item: tape, quantity: 1', '0.61'],
    // 3 × 0.605 = 1.815 → 1.82
    ['item: tape, quantity: 3', '1.82'],
    ['item: tape, quantity: 3, price: 1.005', '3.02'],
    ['item: plug, quantity: 2', '0'],
    ['item: bag, quantity: 2', 'no-price'],
    ['item: bag, quantity: 2, price: "0.90"', '1.8'],
    ['item: foil, quantity: 2', 'item-unknown'],
    ['item: tape, quantity: fill-in', 'blank'],
  ])('material %s: %s', (line, amount) => expect(material(line)).toBe(amount));

  it.each([
    // 0.7 × 78.50 = 54.95
    ['JPY', '55'],
    ['EUR', '54.95'],
    ['KWD', '54.95'],
    ['EUX', 'currency-unknown'],
  ])('rounds to the smallest unit of %s: %s', (currency, amount) => {
    expect(labour('hours: 0.7, rate: body', { currency })).toBe(amount);
  });

  it('rounds thousandths where the currency has them: 3 × 0.605 = 1.815', () => {
    expect(material('item: tape, quantity: 3', { currency: 'KWD' })).toBe('1.815');
    expect(material('item: tape, quantity: 3', { currency: 'JPY' })).toBe('2');
  });

  it('takes each tax once from the total it is raised on', () => {
    const bill = billFor({
      sheet: `tax:
  - { name: VAT, percent: 7.7 }
  - { name: levy, percent: 2.5, on: materials }
`,
      plan: lines(
        '  - { for: op20, hours: 0.3, rate: electrical }\n  - { for: op30, hours: 0.1, rate: electrical }',
        '  - { for: op30, item: tape, quantity: 3 }',
      ),
    });
    // 28.80 + 9.60 = 38.40; 38.40 + 1.82 = 40.22; 7.7 % of 40.22 = 3.09694; 2.5 % of 1.82 = 0.0455
    expect([text(bill.labourTotal.amount), text(bill.materialsTotal.amount)]).toEqual(['38.4', '1.82']);
    expect(text(bill.net.amount)).toBe('40.22');
    expect(bill.taxes.map(({ amount }) => text(amount))).toEqual(['3.1', '0.05']);
    expect(text(bill.gross.amount)).toBe('43.37');
  });

  it('counts lines without an amount instead of treating them as zero', () => {
    const bill = billFor({
      plan: lines('  - { for: op20, hours: fill-in }\n  - { for: op30, hours: 0.1, rate: electrical }'),
    });
    expect(bill.net.unpricedLines).toBe(1);
    expect(text(bill.net.amount)).toBe('9.6');
    expect(bill.gross.unpricedLines).toBe(1);
  });

  it('has no amounts without a rate sheet', () => {
    const files = {
      'a.repair-plan.yaml': `plan: EX-1
vehicle: { description: Kestrel, propulsion: hybrid }
${lines('  - { for: op20, hours: 0.1, rate: electrical }', '  - { for: op30, item: tape, quantity: 1 }')}`,
    };
    const bill = billOf(workspaceOf(files).plan(uri)!);
    expect([...bill.labour, ...bill.materials].map(({ gap }) => gap)).toEqual(['no-sheet', 'no-sheet']);
    expect(bill.sheet.currency).toBeUndefined();
  });

  it('does not mix money of two currencies', () => {
    const files = {
      'a.rate-sheet.yaml': "rate-sheet: a\ncurrency: EUR\nrates: [{ id: body, per-hour: '78' }]\n",
      'b.rate-sheet.yaml': "rate-sheet: b\ncurrency: USD\nrates: [{ id: glass, per-hour: '80' }]\n",
      'a.repair-plan.yaml': `plan: EX-1
vehicle: { description: Kestrel, propulsion: hybrid }
uses: [./a.rate-sheet.yaml, ./b.rate-sheet.yaml]
${lines('  - { for: op20, hours: 1, rate: body }\n  - { for: op20, hours: 1, rate: glass }')}`,
    };
    const bill = billOf(workspaceOf(files).plan(uri)!);
    expect(bill.labour.map(({ amount }) => text(amount))).toEqual(['78', 'unknown']);
  });
});

describe('times as shops keep them, worked by hand', () => {
  const hoursFor = (times: string, step = '[inverter-dc, hv-loop, park-sensor]'): string => {
    const plan = `operations:\n  - { id: op20, do: uncover, connectors: ${step} }\n`;
    return text(stakeHours(times, plan));
  };
  const planOf = (times: string, plan: string): Plan => {
    const workspace = workspaceOf({
      't.rate-sheet.yaml': `rate-sheet: t\ncurrency: EUR\ntimes:\n${times}`,
      'a.repair-plan.yaml': `plan: EX-1
vehicle: { description: Kestrel (invented), propulsion: battery-electric }
uses: [./t.rate-sheet.yaml]
connectors:
  - { id: inverter-dc, class: high-voltage-power }
  - { id: hv-loop, class: interlock }
  - { id: park-sensor, class: sensor }
${plan}`,
    });
    return workspace.plan(uri)!;
  };
  const stakeHours = (times: string, plan: string): Big | undefined =>
    billOf(planOf(times, plan)).stake?.labour[0]?.hours;

  it.each([
    [
      'three connectors at 0.35 h, in exact decimals',
      '{ task: uncover, hours: 0.35, per: connector }',
      '1.05',
    ],
    [
      'the first and each further one: 0.3 + 2 × 0.1',
      '{ task: uncover, hours: 0.3, further: 0.1, per: connector }',
      '0.5',
    ],
    [
      'not reached by three: at least 0.8',
      '{ task: uncover, hours: 0.2, per: connector, minimum: 0.8 }',
      '0.8',
    ],
    [
      'passed by three: 0.6, at least 0.5',
      '{ task: uncover, hours: 0.2, per: connector, minimum: 0.5 }',
      '0.6',
    ],
    [
      'a class with its own time: 0.5 and 2 × 0.1',
      '{ task: uncover, hours: 0.1, per: connector }\n  - { task: uncover, hours: 0.5, per: connector, class: high-voltage-power }',
      '0.7',
    ],
    [
      'two classes in one entry count together: 0.3 + 0.1 and 0.1',
      '{ task: uncover, hours: 0.1, per: connector }\n  - { task: uncover, hours: 0.3, further: 0.1, per: connector, class: [high-voltage-power, interlock] }',
      '0.5',
    ],
    [
      'a class has a time and the others have none: the estimator fills it in',
      '{ task: uncover, hours: 0.5, per: connector, class: high-voltage-power }',
      'unknown',
    ],
  ])('%s', (_, times, hours) => {
    expect(hoursFor(`  - ${times}\n`)).toBe(hours);
  });

  const [high, loop, sensor] = ['inverter-dc', 'hv-loop', 'park-sensor'];
  const ofClasses = `  - { task: uncover, class: high-voltage-power, hours: 0.3, per: connector, rate: electrical, basis: not-included, reference: T1 }
  - { task: uncover, class: sensor, hours: 0.1, per: connector, rate: body, basis: included, reference: T2 }
  - { task: uncover, hours: 0.2, per: connector, rate: body, basis: not-included, reference: T3 }
`;
  it.each([
    ['a class', [high], ofClasses, '0.3 electrical not-included T1'],
    ['a class that published times contain', [sensor], ofClasses, '0.1 body included T2'],
    ['all other classes, though their entry comes last', [loop], ofClasses, '0.2 body not-included T3'],
    ['entries that disagree: 0.3 + 0.2', [high, loop], ofClasses, '0.5 none not-included none'],
    [
      'what published times contain adds nothing',
      [high, sensor],
      ofClasses,
      '0.3 electrical not-included T1',
    ],
    [
      'an entry that leaves them out has those of the others',
      [high],
      `  - { task: uncover, class: high-voltage-power, hours: 0.3, per: connector }
  - { task: uncover, hours: 0.2, per: connector, rate: body, basis: not-included, reference: T3 }
`,
      '0.3 body not-included T3',
    ],
  ])('rate, basis and source are those of the entry: %s', (_, connectors, times, line) => {
    const [owed] = owedLabour(
      planOf(times, `operations:\n  - { id: op20, do: uncover, connectors: [${connectors.join(', ')}] }\n`),
    );
    const { rate, basis, reference } = owed!.time!;
    expect([owed!.hours, rate, basis, reference].map((one) => one ?? 'none').join(' ')).toBe(line);
  });

  const overlapping =
    '  - { task: uncover, hours: 0.3, per: connector, overlap: [{ with: inspect, hours: 0.1 }] }\n';
  it.each([
    ['nothing else is done on them: 3 × 0.3', '', overlapping, '0.9'],
    ['one of them is inspected too: 0.9 − 0.1', '[hv-loop]', overlapping, '0.8'],
    ['another connector is inspected', '[tail-lamp]', overlapping, '0.9'],
    [
      'all three, and each only once: 0.9 − 3 × 0.1',
      '[hv-loop, inverter-dc, park-sensor, hv-loop]',
      overlapping,
      '0.6',
    ],
    [
      'the other task is included elsewhere, so it is not billed',
      '[hv-loop]',
      `${overlapping}  - { task: inspect, hours: 0, basis: included }\n`,
      '0.9',
    ],
    [
      'it is included for the class of one of two: 0.9 − 0.1',
      '[hv-loop, inverter-dc]',
      `${overlapping}  - { task: inspect, hours: 0.1, basis: not-included }
  - { task: inspect, hours: 0, class: interlock, basis: included }\n`,
      '0.8',
    ],
    [
      'never below the minimum: 0.9 − 0.1, at least 0.85',
      '[hv-loop]',
      overlapping.replace('overlap', 'minimum: 0.85, overlap'),
      '0.85',
    ],
    [
      'never below nothing: 0.3 for the step, less 3 × 0.2',
      '[hv-loop, inverter-dc, park-sensor]',
      '  - { task: uncover, hours: 0.3, overlap: [{ with: inspect, hours: 0.2 }] }\n',
      '0',
    ],
    [
      'of one class only: 0.2 + 2 × 0.3 − 0.05',
      '[hv-loop, inverter-dc]',
      `  - { task: uncover, hours: 0.3, per: connector }
  - { task: uncover, class: high-voltage-power, hours: 0.2, per: connector, overlap: [{ with: inspect, hours: 0.05 }] }\n`,
      '0.75',
    ],
  ])('an overlap is taken off once for each connector: %s', (_, inspected, times, hours) => {
    const other = inspected ? `  - { id: op30, do: inspect, connectors: ${inspected} }\n` : '';
    const plan = `operations:
  - { id: op20, do: uncover, connectors: [inverter-dc, hv-loop, park-sensor] }
${other}`;
    expect(text(stakeHours(times, plan))).toBe(hours);
  });

  it('two steps share what one other step has in common with them', () => {
    const plan = `operations:
  - { id: op20, do: uncover, connectors: [hv-loop] }
  - { id: op25, do: uncover, connectors: [hv-loop] }
  - { id: op30, do: inspect, connectors: [hv-loop] }
labour:
  - { for: op20, task: uncover, hours: 0.2 }
`;
    expect(text(stakeHours(overlapping, plan))).toBe('0.3');
  });
});

describe("another firm's bill", () => {
  const sublet = (line: string): Bill['labour'][number] =>
    billFor({ plan: `${operations}labour:\n  - { for: op20, task: disconnect, ${line} }\n` }).labour[0]!;
  it.each([
    ['is all of the amount where the shop has no hours of its own', "hours: 0, sublet: '180.00'", '180'],
    [
      'is added to the own hours: 0.5 × 96.00 + 180.00',
      "hours: 0.5, rate: electrical, sublet: '180.00'",
      '228',
    ],
    ['is rounded like a line: 10.005', "hours: 0, sublet: '10.005'", '10.01'],
    [
      'costs nothing where it is included',
      "hours: 0.5, rate: electrical, sublet: '180.00', basis: included",
      '0',
    ],
    ['leaves no amount where the own hours are still a blank', "hours: fill-in, sublet: '180.00'", 'unknown'],
    ['leaves no amount where it is no number', 'hours: 0, sublet: soon', 'unknown'],
  ])('%s', (_, line, amount) => {
    expect(text(sublet(line).amount)).toBe(amount);
  });

  it('is taxed as labour, and has a row of its own in the spreadsheet, so that the rows add up', () => {
    const workspace = workspaceOf({
      'a.rate-sheet.yaml': `rate-sheet: a
currency: EUR
rates: [{ id: electrical, per-hour: '96.00' }]
tax: [{ name: VAT, percent: 20, on: labour }]
`,
      'a.repair-plan.yaml': `plan: EX-1
vehicle: { description: Kestrel (invented), propulsion: battery-electric }
uses: [./a.rate-sheet.yaml]
operations:
  - { id: op20, do: calibrate }
labour:
  - { for: op20, task: calibrate, hours: 0.5, rate: electrical, sublet: '180.00', basis: not-included, reference: S1 }
`,
    });
    const plan = workspace.plan(uri)!;
    expect(text(billOf(plan).gross.amount)).toBe('273.6');
    const rows = estimateCsv(plan)
      .split('\r\n')
      .map((row) => row.split(','));
    const amounts = rows.filter(([, kind]) => kind === 'labour' || kind === 'sublet').map((row) => row[10]);
    expect(amounts).toEqual(['48.00', '180.00']);
  });
});

describe('money at stake', () => {
  it("is what the missing lines are worth at the sheet's own times, rates and prices", () => {
    const { stake } = billFor({});
    // op20: 3 connectors × 0.1 h × 96.00; op30: no time for covering; 2 strips × 0.605
    expect(stake!.labour.map(({ step, amount, gap }) => [step.id, gap ?? text(amount)])).toEqual([
      ['op20', '28.8'],
      ['op30', 'no-time'],
    ]);
    expect(stake!.materials.map(({ item, amount }) => [item, text(amount)])).toEqual([['tape', '1.21']]);
    expect([text(stake!.amount), stake!.unpricedLines]).toEqual(['30.01', 1]);
  });

  it('a time without a rate has an unknown value', () => {
    const { stake } = billFor({
      plan: 'operations:\n  - { id: op20, do: inspect, connectors: [inverter-dc] }\n',
    });
    expect(stake!.labour.map(({ gap }) => gap)).toEqual(['no-rate']);
  });

  it('is not reported while the section of the lines is unreadable', () => {
    expect(billFor({ plan: `${operations}labour:\n  hello: [\n` }).stake).toBeUndefined();
  });

  it('is zero in the clean sample, and the value of the planted error in the faulty one', () => {
    const workspace = sampleWorkspace();
    const clean = billOf(workspace.plan(sampleUri('quarter-panel.repair-plan.yaml'))!);
    expect([text(clean.stake!.amount), clean.stake!.unpricedLines, clean.net.unpricedLines]).toEqual([
      '0',
      0,
      0,
    ]);
    const faulty = billOf(workspace.plan(sampleUri('quarter-panel-faulty.repair-plan.yaml'))!);
    // The resistance of two connectors is measured and not charged: 2 × 0.2 h × 96.00.
    expect(faulty.stake!.labour.map(({ step, amount }) => [step.id, text(amount)])).toContainEqual([
      'op220',
      '38.4',
    ]);
  });
});

describe('the missing lines, once added', () => {
  const name = 'quarter-panel.repair-plan.yaml';
  const bare = (): Workspace => {
    const workspace = sampleWorkspace();
    const text = workspace.text(sampleUri(name))!.replace(/^(labour|materials):\n(?: .*\n)+/gm, '');
    workspace.set(sampleUri(name), text);
    return workspace;
  };
  const bill = (workspace: Workspace): Bill => billOf(workspace.plan(sampleUri(name))!);

  it('cost what the clean sample charges for the same work', () => {
    const { stake, net } = bill(bare());
    expect([text(net.amount), stake!.unpricedLines]).toEqual(['0', 0]);
    expect(text(stake!.amount)).toBe(text(bill(sampleWorkspace()).net.amount));
  });

  it('add exactly the money that was at stake', () => {
    const workspace = bare();
    const { stake } = bill(workspace);
    for (const finding of ['labour-missing', 'material-missing']) {
      const fixed = fixAll(workspace, sampleUri(name), { unsafe: true, finding });
      expect(fixed.fixed).toBeGreaterThan(5);
      workspace.set(sampleUri(name), fixed.text);
    }
    const after = bill(workspace);
    expect(text(after.net.amount)).toBe(text(stake!.amount));
    expect(text(after.stake!.amount)).toBe('0');
  });
});

describe('laws of a bill', () => {
  const tenths = fc.nat(400).map((n) => `${Math.floor(n / 10)}.${n % 10}`);
  const cents = fc.nat(1_000_000).map((n) => `${Math.floor(n / 1000)}.${String(n % 1000).padStart(3, '0')}`);
  const someSteps = fc.subarray(['op20', 'op30', 'op99'], { minLength: 1 });
  const labourLines = fc.array(
    fc.record({
      steps: someSteps,
      hours: fc.oneof(tenths, fc.constant('fill-in')),
      rate: fc.constantFrom('electrical', 'body'),
      basis: fc.constantFrom('', ', basis: not-included', ', basis: included'),
    }),
    { minLength: 1, maxLength: 8 },
  );
  const materialLines = fc.array(fc.record({ steps: someSteps, quantity: fc.nat(30), price: cents }), {
    minLength: 1,
    maxLength: 8,
  });
  const labourText = (all: readonly { steps: string[]; hours: string; rate: string; basis: string }[]) =>
    all
      .map((one) => `  - { for: [${one.steps}], hours: ${one.hours}, rate: ${one.rate}${one.basis} }`)
      .join('\n');
  const materialText = (all: readonly { steps: string[]; quantity: number; price: string }[]) =>
    all
      .map((one) => `  - { for: [${one.steps}], item: tape, quantity: ${one.quantity}, price: ${one.price} }`)
      .join('\n');
  const currency = fc.constantFrom('EUR', 'JPY', 'KWD', 'CLF');

  it('every split adds up to the total', () => {
    fc.assert(
      fc.property(labourLines, materialLines, currency, (labour, materials, code) => {
        const bill = billFor({ currency: code, plan: lines(labourText(labour), materialText(materials)) });
        const net = text(bill.net.amount);
        for (const parts of [bill.byOperation, bill.byConnector]) {
          expect(text(sumAmounts(parts.map(({ amount }) => amount)))).toBe(net);
        }
        for (const parts of [bill.byBasis, bill.byRate]) {
          expect(text(sumAmounts(parts.map(({ amount }) => amount)))).toBe(text(bill.labourTotal.amount));
        }
        const due = sumAmounts([bill.net.amount, ...bill.taxes.flatMap(({ amount }) => amount ?? [])]);
        expect(text(bill.gross.amount)).toBe(text(due));
      }),
      { numRuns: 60 },
    );
  });

  it('hours and amounts are shared out by rate and by basis, worked by hand', () => {
    const { byRate, byBasis } = billFor({
      plan: lines(`  - { for: op20, task: disconnect, hours: 0.3, rate: electrical, basis: not-included }
  - { for: op30, task: cover, hours: 0.4, rate: body, basis: not-included }
  - { for: op20, task: inspect, hours: 0.2, rate: electrical }
  - { for: op30, task: inspect, hours: 0.1 }`),
    });
    const told = (parts: Bill['byRate']): string[] =>
      parts.map(
        ({ key, hours, amount, unpricedLines }) =>
          `${key}: ${text(hours)} h, ${text(amount)}, ${unpricedLines} without a price`,
      );
    // 0.5 h at 96.00; 0.4 h at 78.50; 0.3 h at 96.00 and 0.4 h at 78.50.
    expect(told(byRate)).toEqual([
      'electrical: 0.5 h, 48, 0 without a price',
      'body: 0.4 h, 31.4, 0 without a price',
      ': 0.1 h, 0, 1 without a price',
    ]);
    expect(told(byBasis)).toEqual([
      'not-included: 0.7 h, 60.2, 0 without a price',
      'not-stated: 0.3 h, 19.2, 1 without a price',
    ]);
  });

  it("what another firm bills has no part in the shop's own rates", () => {
    const { byRate, byBasis, labourTotal } = billFor({
      plan: lines(`  - { for: op20, task: disconnect, hours: 0.3, rate: electrical, sublet: '45.555' }
  - { for: op30, task: cover, hours: 0, sublet: '180.00' }
  - { for: op20, task: inspect, hours: 0.2, rate: electrical }
  - { for: op30, task: inspect, hours: 0.2, rate: body, basis: included, sublet: '12.00' }`),
    });
    // 0.5 h at 96.00; 45.56 + 180.00.
    expect(
      byRate.map(
        ({ key, sublet, hours, amount }) =>
          `${key}${sublet ? 'sublet' : ''}: ${text(hours)} h, ${text(amount)}`,
      ),
    ).toEqual(['electrical: 0.5 h, 48', 'body: 0.2 h, 0', 'sublet: 0 h, 225.56']);
    expect(byBasis.map(({ hours, amount }) => `${text(hours)} h, ${text(amount)}`)).toEqual([
      '0.5 h, 273.56',
      '0.2 h, 0',
    ]);
    expect(text(labourTotal.amount)).toBe('273.56');
  });

  it('the order of the lines does not affect any total', () => {
    fc.assert(
      fc.property(labourLines, materialLines, (labour, materials) => {
        const totals = (bill: Bill) =>
          [bill.labourTotal, bill.materialsTotal, bill.gross].map(({ amount }) => text(amount));
        const forwards = billFor({ plan: lines(labourText(labour), materialText(materials)) });
        const backwards = billFor({
          plan: lines(labourText([...labour].reverse()), materialText([...materials].reverse())),
        });
        expect(totals(forwards)).toEqual(totals(backwards));
      }),
      { numRuns: 40 },
    );
  });

  it('every line is its hours times its rate, within half a smallest unit (exact fractions as oracle)', () => {
    fc.assert(
      fc.property(labourLines, currency, (labour, code) => {
        const bill = billFor({ currency: code, plan: lines(labourText(labour)) });
        const half = new Fraction(1, 2).div(new Fraction(10).pow(minorUnitDecimals(code)!)!);
        bill.labour.forEach((charge, i) => {
          const { hours, rate, basis } = labour[i]!;
          if (hours === 'fill-in' && !basis.endsWith(' included'))
            return expect(charge.amount).toBeUndefined();
          const exact = basis.endsWith(' included')
            ? new Fraction(0)
            : new Fraction(hours).mul(rate === 'body' ? '78.50' : '96.00');
          const off = new Fraction(text(charge.amount)).sub(exact);
          expect(off.abs().compare(half)).toBeLessThanOrEqual(0);
        });
      }),
      { numRuns: 60 },
    );
  });
});
