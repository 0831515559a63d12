import { estimateColumns } from './print-mark.ts';
import type Big from 'big.js';
import { billOf, roundingRule } from '../../costing/bill.ts';
import type {
  NoAmountReason,
  HoursShare,
  LabourCharge,
  MaterialCharge,
  CostShare,
  Sum,
} from '../../costing/bill.ts';
import type { Plan } from '../../plan/plan.ts';
import { printable } from '../listing/printable.ts';
import { connectorsOf, lacksReference } from './estimate.ts';
import { photosOf } from './photos.ts';
import { gapWords, headOf } from './words.ts';
import { jsonText } from '../listing/json-text.ts';

const decimal = (amount: Big | undefined): string => amount?.toFixed() ?? '';

/**
 * A text as a cell of a spreadsheet. One that a spreadsheet would take for a formula (it begins with =, +, -, @, a
 * tab or a line break, or their full-width forms) gets an apostrophe in front, which spreadsheets show as text.
 */
export function textCell(text: string): string {
  const guarded = /^[\s\u0000-\u0020]*[=+\-@\uff1d\uff0b\uff0d\uff20]|^[\t\r\n]/.test(text)
    ? `'${text}`
    : text;
  const clean = printable(guarded.replaceAll(/\r?\n|\t/g, ' '));
  return /[",;\n\r]|^\s|\s$/.test(clean) ? `"${clean.replaceAll('"', '""')}"` : clean;
}

/**
 * The lines of the estimate and its totals as comma-separated values (RFC 4180), with a byte-order mark, by which
 * spreadsheets know UTF-8. Numbers are plain decimals with a point.
 */
export function estimateCsv(plan: Plan): string {
  const bill = billOf(plan);
  const { number } = headOf(plan);
  const currency = bill.sheet.currency ?? '';
  const rows: string[][] = [[...estimateColumns]];
  interface Row {
    readonly kind: string;
    readonly steps?: readonly string[];
    readonly what: string;
    readonly basis?: string;
    readonly reference?: string | undefined;
    readonly rate?: string | undefined;
    readonly quantity?: Big | undefined;
    readonly unit?: string | undefined;
    readonly each?: Big | undefined;
    readonly amount: Big | undefined;
    readonly remark?: string;
    /** Whether photographs of the steps belong to it. */
    readonly shown?: boolean;
    readonly reason?: string | undefined;
  }
  const photos = photosOf(plan);
  const filesOf = (steps: readonly string[]): string =>
    photos.flatMap(({ operation, file }) => (steps.includes(operation) ? [file] : [])).join(' ');
  const put = (row: Row): void => {
    rows.push([
      textCell(number),
      row.kind,
      textCell((row.steps ?? []).join(' ')),
      textCell(row.what),
      row.basis ?? '',
      textCell(row.reference ?? ''),
      textCell(row.rate ?? ''),
      decimal(row.quantity),
      textCell(row.unit ?? ''),
      decimal(row.each),
      row.amount?.toFixed(bill.sheet.decimals) ?? '',
      textCell(currency),
      textCell(row.remark ?? ''),
      textCell(row.shown ? filesOf(row.steps ?? []) : ''),
      textCell(row.shown ? connectorsOf(plan, row.steps ?? []).join(' ') : ''),
      textCell(row.reason ?? ''),
    ]);
  };
  const remark = (gap: NoAmountReason | undefined): string => (gap ? String(gapWords[gap]) : '');
  for (const charge of bill.labour) {
    const { steps, task = '', basis, reference, rate, hours, perHour, amount, sublet, gap } = charge;
    const missing = lacksReference(charge) ? 'no reference' : '';
    put({
      kind: 'labour',
      steps,
      what: task,
      basis,
      reference,
      rate,
      quantity: hours,
      unit: 'h',
      each: perHour,
      // The rows add up: what another firm bills has one of its own.
      amount: sublet ? amount?.minus(sublet) : amount,
      remark: remark(gap) || missing,
      shown: true,
      reason: charge.line.node.get('reason')?.value,
    });
    if (sublet && amount) put({ kind: 'sublet', steps, what: task, basis, reference, amount: sublet });
  }
  for (const {
    steps,
    item = '',
    name,
    reference,
    quantity,
    unit,
    price,
    amount,
    gap,
    charged,
  } of bill.materials) {
    put({
      kind: 'material',
      steps,
      what: name ?? item,
      reference,
      quantity,
      unit,
      each: price,
      amount,
      remark: charged ? remark(gap) : 'not charged',
      shown: true,
    });
  }
  const open = (sum: Sum): string => (sum.unpricedLines > 0 ? `${sum.unpricedLines} without an amount` : '');
  put({ kind: 'total', what: 'labour', amount: bill.labourTotal.amount, remark: open(bill.labourTotal) });
  put({
    kind: 'total',
    what: 'material',
    amount: bill.materialsTotal.amount,
    remark: open(bill.materialsTotal),
  });
  put({ kind: 'total', what: 'before tax', amount: bill.net.amount, remark: open(bill.net) });
  for (const { name, percent, amount } of bill.taxes) {
    put({ kind: 'tax', what: name, quantity: percent, unit: '%', amount });
  }
  put({ kind: 'total', what: 'total', amount: bill.gross.amount, remark: open(bill.gross) });
  return `\ufeff${rows.map((cells) => `${cells.join(',')}\r\n`).join('')}`;
}

/**
 * The whole bill as JSON. All amounts, hours and quantities are strings that hold exact decimals; `null` is what
 * cannot be told. Keys are added in later versions, never renamed or removed while `format` is 1.
 */
export function estimateJson(plan: Plan, options: { readonly version: string }): string {
  const bill = billOf(plan);
  const head = headOf(plan);
  const exact = (amount: Big | undefined): string | null => amount?.toFixed() ?? null;
  const money = (amount: Big | undefined): string | null => amount?.toFixed(bill.sheet.decimals) ?? null;
  const sum = ({ amount, unpricedLines }: Sum) => ({
    amount: money(amount),
    linesWithoutAmount: unpricedLines,
  });
  const part = ({ key, labour, materials, ...rest }: CostShare) => ({
    key,
    labour: money(labour),
    materials: money(materials),
    ...sum(rest),
  });
  const hoursPart = ({ key, hours, sublet, ...rest }: HoursShare) => ({
    key,
    ...(sublet ? { sublet } : {}),
    hours: exact(hours),
    ...sum(rest),
  });
  const labour = (charge: LabourCharge) => ({
    operations: charge.steps,
    connectors: connectorsOf(plan, charge.steps),
    reason: charge.line.node.get('reason')?.value ?? null,
    task: charge.task ?? null,
    hours: exact(charge.hours),
    rate: charge.rate ?? null,
    perHour: exact(charge.perHour),
    ...(charge.line.sublet ? { sublet: money(charge.sublet) } : {}),
    basis: charge.basis,
    reference: charge.reference ?? null,
    referenceMissing: lacksReference(charge),
    amount: money(charge.amount),
    gap: charge.gap ?? null,
  });
  const material = (charge: MaterialCharge) => ({
    operations: charge.steps,
    item: charge.item ?? null,
    name: charge.name ?? null,
    quantity: exact(charge.quantity),
    unit: charge.unit ?? null,
    price: exact(charge.price),
    charged: charge.charged,
    reference: charge.reference ?? null,
    amount: money(charge.amount),
    gap: charge.gap ?? null,
  });
  const { stake } = bill;
  const report = {
    tool: { name: 'plugward', version: options.version },
    format: 1,
    plan: head.number,
    title: head.title,
    currency: bill.sheet.currency ?? null,
    rounding: String(roundingRule),
    labour: bill.labour.map(labour),
    materials: bill.materials.map(material),
    photos: photosOf(plan).map(({ operation, file, when, note }) => ({
      operation,
      file,
      when: when ?? null,
      note: note ?? null,
    })),
    totals: {
      labour: sum(bill.labourTotal),
      materials: sum(bill.materialsTotal),
      net: sum(bill.net),
      taxes: bill.taxes.map(({ name, percent, on, base, amount }) => ({
        name,
        percent: exact(percent),
        on,
        base: money(base),
        amount: money(amount),
      })),
      gross: sum(bill.gross),
    },
    byOperation: bill.byOperation.map(part),
    byConnector: bill.byConnector.map(part),
    byBasis: bill.byBasis.map(hoursPart),
    byRate: bill.byRate.map(hoursPart),
    atStake: stake
      ? {
          labour: stake.labour.map(({ step, task, hours, rate, perHour, amount, gap }) => ({
            operation: step.id,
            task,
            hours: exact(hours),
            rate: rate ?? null,
            perHour: exact(perHour),
            amount: money(amount),
            gap: gap ?? null,
          })),
          materials: stake.materials.map(({ step, item, quantity, unit, price, amount, gap }) => ({
            operation: step.id,
            item,
            quantity: exact(quantity),
            unit: unit ?? null,
            price: exact(price),
            amount: money(amount),
            gap: gap ?? null,
          })),
          ...sum(stake),
        }
      : null,
  };
  return `${jsonText(report)}\n`;
}
