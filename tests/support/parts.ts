import type { Phrase } from '../../server/src/language/phrase.ts';

/** The template of a phrase, with its places numbered, and the phrase in English. */
export function wordsOf(phrase: Phrase): { template: string; text: string } {
  let template: string | undefined;
  phrase.in({
    tag: 'en',
    decimal: '.',
    words(one) {
      template ??= one;
      return undefined;
    },
    list: (words) => words.join(', '),
    number: (english) => english,
  });
  return { template: template ?? '', text: String(phrase) };
}
