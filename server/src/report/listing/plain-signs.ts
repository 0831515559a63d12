/** Signs that stand in messages and titles, and what says the same in ASCII. */
const table = new Map([
  ['\u00a0', ' '],
  ['…', '...'],
  ['·', '*'],
  ['×', 'x'],
  ['±', '+/-'],
  ['−', '-'],
  ['–', '-'],
  ['≈', '~'],
  ['≤', '<='],
  ['≥', '>='],
  ['→', '->'],
  ['“', '"'],
  ['”', '"'],
  ['«', '"'],
  ['»', '"'],
  ['’', "'"],
  ['⚠', '!'],
  ['°', 'deg '],
  ['²', '2'],
  ['³', '3'],
  ['₀', '0'],
  ['₂', '2'],
  ['µ', 'u'],
  ['Ω', 'ohm'],
  ['α', 'alpha'],
  ['ρ', 'rho'],
]);
const any = new RegExp(`[${[...table.keys()].join('')}]`, 'g');

/** What is said, for a console that may lack its signs. The letters of a language stay. */
export const plainSigns = (text: string): string => text.replace(any, (sign) => table.get(sign) ?? sign);
