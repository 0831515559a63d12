import type { Language } from './language.ts';

/**
 * A user-visible text, independent of language. It is rendered only when it is shown. In a string it reads as
 * English.
 */
export interface Phrase {
  /**
   * @param language English if undefined. Untranslated templates fall back to English.
   * @param write transforms its words and its values, such as escaping for HTML; unchanged if absent
   */
  in(language: Language | undefined, write?: Write): string;
  toString(): string;
}

/** How text is written. */
export type Write = (text: string) => string;

/** What a placeholder can hold: names and text quoted from a file, numbers, other phrases. */
export type Value = string | number | Phrase;

const verbatim: Write = (text) => text;

export const inLanguage = (value: Value, language: Language | undefined, write: Write = verbatim): string =>
  typeof value === 'string'
    ? write(value)
    : typeof value === 'number'
      ? write(language?.number(String(value)) ?? String(value))
      : value.in(language, write);

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

  in(language: Language | undefined, write = verbatim): string {
    const words = language?.words(templateOf(this.#strings));
    if (words === undefined) {
      return this.#strings
        .map((part, i) => (i > 0 ? inLanguage(this.#values[i - 1]!, language, write) : '') + write(part))
        .join('');
    }
    return words
      .split(/\{(\d+)\}/)
      .map((part, i) =>
        i % 2 === 0 ? write(part) : inLanguage(this.#values[Number(part)] ?? '', language, write),
      )
      .join('');
  }

  toString(): string {
    return this.in(undefined);
  }
}

/**
 * Template tag for all user-visible text: say`${id} is opened here`. Use whole sentences or self-contained
 * parts, because other languages order and inflect their words differently.
 */
export const say = (strings: TemplateStringsArray, ...values: readonly Value[]): Phrase =>
  new Template(strings, values);

/** A phrase whose template comes from data rather than source code, e.g. a schema description. */
export const fromTable = (english: string): Phrase =>
  deferred((language, write) => write(language?.words(english) ?? english));

class List implements Phrase {
  readonly #words: readonly Value[];
  readonly #joined: 'and' | 'or';

  constructor(words: readonly Value[], joined: 'and' | 'or') {
    this.#words = words;
    this.#joined = joined;
  }

  in(language: Language | undefined, write = verbatim): string {
    const words = this.#words.map((word) => inLanguage(word, language, write));
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
export const andList = (words: readonly Value[]): Phrase => new List(words, 'and');

/** "a", "a or b", "a, b or c". */
export const orList = (words: readonly Value[]): Phrase => new List(words, 'or');

/**
 * A number computed by Plugward, formatted as in English ("1,250.5 V"); rendered with the separators of the
 * target language.
 */
export const localizedNumber = (english: string): Phrase => ({
  in: (language, write = verbatim) => write(language?.number(english) ?? english),
  toString: () => english,
});

/** A phrase computed once its language is known, e.g. a picture laid out around its labels. */
export const deferred = (make: (language: Language | undefined, write: Write) => string): Phrase => ({
  in: (language, write = verbatim) => make(language, write),
  toString: () => make(undefined, verbatim),
});

/** Concatenates values, separated by `between`. */
export const joined = (values: readonly Value[], between = ''): Phrase =>
  deferred((language, write) =>
    values.map((value) => inLanguage(value, language, write)).join(write(between)),
  );

/** The first few by name, the rest by number. */
export const someOf = (words: readonly Value[], max: number): Phrase =>
  words.length > max
    ? say`${joined(words.slice(0, max), ', ')} and ${words.length - max} more`
    : andList(words);

/** The phrase with a capital letter at its start. */
export const capital = (value: Value): Phrase =>
  deferred((language, write) => {
    const words = inLanguage(value, language, write);
    return words.charAt(0).toUpperCase() + words.slice(1);
  });

/** The phrase with a small letter at its start, to stand inside another. */
export const uncapital = (value: Value): Phrase =>
  deferred((language, write) => {
    const words = inLanguage(value, language, write);
    return words.charAt(0).toLowerCase() + words.slice(1);
  });
