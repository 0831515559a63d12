import stringWidth from 'string-width';

/** Text of which each character takes one column: no emoji, no wide, no combining and no invisible characters. */
const EVEN =
  /^[ -~\u00a0-\u00ac\u00ae-\u02ff\u0391-\u03c9\u2010-\u2027\u2030-\u203b\u20a0-\u20bf\u2190-\u22ff]*$/;

/** Whether each UTF-16 code unit of a text is a character that takes one column. */
export const isSingleWidth = (text: string): boolean => EVEN.test(text);

/**
 * Lone surrogates (in damaged text) and visible format characters: the library treats them as invisible and
 * may then find nothing left to measure.
 */
const UNMEASURED = /(?!\p{Default_Ignorable_Code_Point})\p{Cf}|\p{Surrogate}/gu;

/** Columns a text takes in a terminal. */
export const textWidth = (text: string): number =>
  isSingleWidth(text) ? text.length : stringWidth(text.replace(UNMEASURED, '?'));
