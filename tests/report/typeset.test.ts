import { describe, expect, it } from 'vitest';
import { languageOf } from '../../server/src/language/language.ts';
import { wrap } from '../../server/src/report/listing/wrap.ts';
import { typeset } from '../../server/src/report/print/typeset.ts';

const es = languageOf('es');

/** Hard spaces as underscores. ISO 80000-1, 7.1.4: a space between the number and the unit; 7.3.1: comma or point, one on a page. */
const shown = (html: string, language: typeof es): string =>
  typeset(html, language).replaceAll('\u00a0', '_');

describe('a page', () => {
  it.each([
    ['<p>0.31 mΩ</p>', '<p>0.31_mΩ</p>', '<p>0,31_mΩ</p>'],
    ['<p>0.31 ± 0.02 mΩ</p>', '<p>0.31_±_0.02_mΩ</p>', '<p>0,31_±_0,02_mΩ</p>'],
    ['<p>1 h 18 min, 12 V battery</p>', '<p>1_h 18_min, 12_V battery</p>', '<p>1_h 18_min, 12_V battery</p>'],
    ['<p>VAT, 20 %</p>', '<p>VAT, 20_%</p>', '<p>VAT, 20_%</p>'],
    // No quantities: an edition, a version, a step, words that begin with the letters of a unit.
    ['<p>edition 2026.09, op1 A4, 5 minutes</p>', '<p>edition 2026.09, op1 A4, 5 minutes</p>', undefined],
    // Markup and style stay as they are.
    ['<p title="0.5 mm">x</p>', '<p title="0.5 mm">x</p>', undefined],
    ['<style>p{margin:0 0.5 mm}</style>', '<style>p{margin:0 0.5 mm}</style>', undefined],
  ])('keeps a number with its unit: %s', (text, english, spanish = english) => {
    expect(shown(text, undefined)).toBe(english);
    expect(shown(text, es)).toBe(spanish);
  });
});

describe('a line of the terminal', () => {
  it.each([
    // Eleven columns hold "is 0.39", but not its unit.
    ['limit is 0.39 mΩ here', 11, ['limit is', '0.39 mΩ', 'here']],
    ['0.31 ± 0.02 mΩ', 5, ['0.31 ± 0.02 mΩ']],
    ['step 4 and 5 more', 8, ['step 4', 'and 5', 'more']],
  ])('does not end between a number and its unit: %s', (text, width, lines) => {
    expect(wrap(text, width)).toEqual(lines);
  });
});
