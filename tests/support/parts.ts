import type { Language } from '../../server/src/language/language.ts';
import type { Phrase } from '../../server/src/language/phrase.ts';

/** English, with other words for some templates. */
const english = (words: (template: string) => string | undefined): Language => ({
  tag: 'en',
  decimal: '.',
  words,
  list: (parts) => parts.join(', '),
  number: (text) => text,
});

/** The templates of a phrase and of the phrases in it, with their places numbered, its own first. */
export function templatesOf(phrase: Phrase): string[] {
  const found = new Set<string>();
  phrase.in(
    english((one) => {
      found.add(one);
      return undefined;
    }),
  );
  return [...found];
}

/** The template of a phrase, with its places numbered, and the phrase in English. */
export function wordsOf(phrase: Phrase): { template: string; text: string } {
  return { template: templatesOf(phrase)[0] ?? '', text: String(phrase) };
}

/** Whether a phrase holds these words, and would not without a template. */
export const isTold = (phrase: Phrase, template: string, words: string): boolean =>
  String(phrase).includes(words) &&
  !phrase.in(english((one) => (one === template ? '…' : undefined))).includes(words);
