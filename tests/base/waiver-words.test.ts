import { readFileSync } from 'node:fs';
import path from 'node:path';
import { expect, test } from 'vitest';
import { parse } from 'yaml';
import { waivedByText } from '../../server/src/base/waiver-words.ts';

const rows = parse(readFileSync(path.join(import.meta.dirname, 'waiver-words.yaml'), 'utf8')) as Readonly<
  Record<'waiving' | 'harmless', Readonly<Record<'english' | 'spanish', readonly string[]>>>
>;
const { waiving, harmless } = rows;

test('sentences that leave a precaution out', () => {
  expect(waiving.english.filter((text) => waivedByText(text) === undefined)).toEqual([]);
  expect(waiving.spanish.filter((text) => waivedByText(text) === undefined)).toEqual([]);
});

test('sentences that only speak of one', () => {
  expect(harmless.english.filter((text) => waivedByText(text) !== undefined)).toEqual([]);
  expect(harmless.spanish.filter((text) => waivedByText(text) !== undefined)).toEqual([]);
});

test('the same between two other sentences, over two lines, in capitals and with a typographic apostrophe', () => {
  for (const text of [...waiving.english, ...waiving.spanish])
    expect(waivedByText(`Look at the plug. ${text} Then tell technician A.`), text).toBeDefined();
  for (const text of [...harmless.english, ...harmless.spanish])
    expect(waivedByText(`Look at the plug. ${text} Then tell technician A.`), text).toBeUndefined();
  expect(waivedByText('Pull it.\nNO NEED\nTO WAIT.')).toBe('NO NEED TO WAIT');
  expect(waivedByText('Don’t bother with the meter.')).toBe("Don't bother with the meter");
});

test('the words are quoted as they are written', () => {
  expect(waivedByText('Abrir el conector naranja, sin  Guantes.')).toBe('sin Guantes');
  expect(waivedByText('The lock-out can be skipped if it is late.')).toBe('lock-out can be skipped');
  // A letter that has no single sign with its dot.
  expect(waivedByText('q\u0307. Skip the Proof.')).toBe('skip the proof');
});
