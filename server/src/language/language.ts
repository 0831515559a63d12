import { own } from '../base/collections.ts';
import { catalogues } from '../generated/catalogues.ts';
import { templateKey } from './key.ts';

/** A language other than English. */
export interface Language {
  /** As in `lang` attributes and `Intl`: "es". */
  readonly tag: string;
  /**
   * The translation of an English template, with the same numbered placeholders; `undefined` if there is
   * none.
   */
  words(template: string): string | undefined;
  list(words: readonly string[], joined: 'and' | 'or'): string;
  /** Its decimal sign. */
  readonly decimal: string;
  /** Formats an English-formatted number ("1,250.5 V") with this language's separators. */
  number(english: string): string;
}

type Tag = keyof typeof catalogues;

const known = new Map<Tag, Language>();

/** Tags of the supported languages, English first. */
export const languageTags: readonly string[] = ['en', ...Object.keys(catalogues)];

/**
 * The language for a locale such as "es-MX"; `undefined` for English and unsupported locales. A catalogue is
 * parsed when its language is first used, so English never pays for it.
 */
export function languageOf(locale: string | undefined): Language | undefined {
  const tag = locale?.toLowerCase().split(/[-_.@]/)[0] ?? '';
  if (!Object.hasOwn(catalogues, tag)) return undefined;
  let language = known.get(tag as Tag);
  if (!language) {
    language = read(tag as Tag);
    known.set(tag as Tag, language);
  }
  return language;
}

function read(tag: Tag): Language {
  const words = JSON.parse(catalogues[tag]) as Readonly<Record<string, string>>;
  const known = new Map<string, string | undefined>();
  const lists = {
    and: new Intl.ListFormat(tag, { type: 'conjunction' }),
    or: new Intl.ListFormat(tag, { type: 'disjunction' }),
  };
  const parts = new Intl.NumberFormat(tag).formatToParts(0.1);
  const decimal = parts.find(({ type }) => type === 'decimal')?.value ?? '.';
  // Group thousands with a space (ISO 80000-1): half the readers would take "1.000 V" for one volt.
  const marks: Readonly<Record<string, string | undefined>> = { '.': decimal, ',': '\u00a0' };
  return {
    tag,
    decimal,
    words(template) {
      if (!known.has(template)) known.set(template, own(words, templateKey(template)));
      return known.get(template);
    },
    list: (items, joined) => lists[joined].format(items),
    number: (english) => english.replaceAll(/(?<=\d)[.,](?=\d)/g, (mark) => own(marks, mark) ?? mark),
  };
}
