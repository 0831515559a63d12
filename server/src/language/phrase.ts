import type { Language } from './language.ts';

/**
 * Something said to a person, apart from the language it is said in: nothing is put together before it is shown.
 * In a string it reads as English.
 */
export interface Phrase {
  /** @param language English when undefined. What a language has no words for is said in English. */
  in(language: Language | undefined): string;
  toString(): string;
}

/** What may stand in a place of a phrase: names and text of a file as they are written, numbers, other phrases. */
export type Value = string | number | Phrase;

export const inLanguage = (value: Value, language: Language | undefined): string =>
  typeof value === 'string'
    ? value
    : typeof value === 'number'
      ? (language?.number(String(value)) ?? String(value))
      : value.in(language);

const templates = new WeakMap<TemplateStringsArray, string>();

/** The English words with numbered places, as in "{0} closes {1}": the key of a catalogue. */
function templateOf(strings: TemplateStringsArray): string {
  let template = templates.get(strings);
  if (template === undefined) {
    template = strings.reduce((text, part, i) => `${text}{${i - 1}}${part}`);
    templates.set(strings, template);
  }
  return template;
}

class Template implements Phrase {
  readonly #strings: TemplateStringsArray;
  readonly #values: readonly Value[];

  constructor(strings: TemplateStringsArray, values: readonly Value[]) {
    this.#strings = strings;
    this.#values = values;
  }

  in(language: Language | undefined): string {
    const words = language?.words(templateOf(this.#strings));
    if (words === undefined) {
      return this.#strings.reduce(
        (text, part, i) => text + inLanguage(this.#values[i - 1]!, language) + part,
      );
    }
    return words.replaceAll(/\{(\d+)\}/g, (_, place: string) =>
      inLanguage(this.#values[Number(place)] ?? '', language),
    );
  }

  toString(): string {
    return this.in(undefined);
  }
}

/**
 * The tag of everything that is said: say`${id} is opened here`. Whole sentences or self-contained parts, for other
 * languages order and inflect their words differently.
 */
export const say = (strings: TemplateStringsArray, ...values: readonly Value[]): Phrase =>
  new Template(strings, values);

class List implements Phrase {
  readonly #words: readonly Value[];
  readonly #joined: 'and' | 'or';

  constructor(words: readonly Value[], joined: 'and' | 'or') {
    this.#words = words;
    this.#joined = joined;
  }

  in(language: Language | undefined): string {
    const words = this.#words.map((word) => inLanguage(word, language));
    if (language) return language.list(words, this.#joined);
    return words.length < 2
      ? (words[0] ?? '')
      : `${words.slice(0, -1).join(', ')} ${this.#joined} ${words.at(-1)}`;
  }

  toString(): string {
    return this.in(undefined);
  }
}

/** "a", "a and b", "a, b and c". */
export const listed = (words: readonly Value[]): Phrase => new List(words, 'and');

/** "a", "a or b", "a, b or c". */
export const eitherOf = (words: readonly Value[]): Phrase => new List(words, 'or');

/** A figure of our own reckoning, given as English writes it ("1,250.5 V"); other languages punctuate differently. */
export const figure = (english: string): Phrase => ({
  in: (language) => language?.number(english) ?? english,
  toString: () => english,
});
