import stringWidth from 'string-width';

/** Columns a text takes in a terminal. Half a character, which a damaged text may hold, takes one. */
export const textWidth = (text: string): number => stringWidth(text.replace(/\p{Surrogate}/gu, '?'));
