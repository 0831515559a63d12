/** A text in lower case and without accents, as words are looked for in it: people leave accents out and write capitals. */
export const plainWords = (text: string): string =>
  text.normalize('NFD').replaceAll(/\p{M}/gu, '').toLowerCase();
