import { own } from '../base/collections.ts';
import { catalogues, regions } from '../generated/catalogues.ts';
import { templateKey } from './key.ts';
import { regional } from './regional.ts';
import type { RegionalRule } from './regional.ts';

/** A language other than English. */
export interface Language {
  /** As in `lang` attributes and `Intl`: "es", "es-MX". */
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

const known = new Map<string, Language | undefined>();

/** Tags of the supported languages, English first, and of regions whose words differ from their language. */
export const localeTags: readonly string[] = ['en', ...Object.keys({ ...catalogues, ...regions }).sort()];

/** Tags of the supported languages, English first. */
export const languageTags: readonly string[] = localeTags.filter((tag) => !tag.includes('-'));

/**
 * The language for a locale such as "es-MX"; `undefined` for English and unsupported locales. Its region decides about the
 * decimal sign and, where it has rules, about words. A catalogue is parsed when its language is first used, so English
 * never pays for it.
 */
export function languageOf(locale: string | undefined): Language | undefined {
  const [asked = ''] = (locale ?? '').replaceAll('_', '-').split(/[.@]/);
  if (!known.has(asked)) known.set(asked, read(asked));
  return known.get(asked);
}

/** The language of a locale, and the language with the region: "es" and "es-MX". */
function tagsOf(locale: string): { language: string; tag: string } {
  try {
    const { language, region } = new Intl.Locale(locale);
    return { language, tag: region === undefined ? language : `${language}-${region}` };
  } catch {
    const language = locale.toLowerCase().split('-')[0] ?? '';
    return { language, tag: language };
  }
}

function catalogueOf(tag: string): Readonly<Record<string, string>> | undefined {
  const text = own(catalogues, tag)?.();
  return text === undefined ? undefined : (JSON.parse(text) as Readonly<Record<string, string>>);
}

const rulesOf = (tag: string): readonly RegionalRule[] =>
  JSON.parse(own(regions, tag)?.() ?? '[]') as readonly RegionalRule[];

const decimalOf = (tag: string): string =>
  new Intl.NumberFormat(tag).formatToParts(0.1).find(({ type }) => type === 'decimal')?.value ?? '.';

function read(locale: string): Language | undefined {
  const { language, tag } = tagsOf(locale);
  const words = catalogueOf(language);
  if (words === undefined) return undefined;
  const said = new Map<string, string | undefined>();
  const lists = {
    and: new Intl.ListFormat(tag, { type: 'conjunction' }),
    or: new Intl.ListFormat(tag, { type: 'disjunction' }),
  };
  const decimal = decimalOf(tag);
  const regionalWords = regional(rulesOf(tag));
  /** Words and the numbers within them are written as in the language, not as in each of its regions. */
  const inRegion = (text: string): string =>
    decimal === decimalOf(language)
      ? regionalWords(text)
      : regionalWords(text).replaceAll(/(?<=\d),(?=\d)/g, decimal);
  // Group thousands with a space (ISO 80000-1): half the readers would take "1.000 V" for one volt.
  const marks: Readonly<Record<string, string | undefined>> = { '.': decimal, ',': '\u00a0' };
  return {
    tag,
    decimal,
    words(template) {
      if (!said.has(template)) {
        const translated = own(words, templateKey(template));
        said.set(template, translated === undefined ? undefined : inRegion(translated));
      }
      return said.get(template);
    },
    list(items, joined) {
      // Which word joins depends on the sound that follows; the markup around a name has none.
      const parts = lists[joined].formatToParts(items.map((item) => item.replaceAll(/<[^>]*>/g, '')));
      let at = 0;
      return parts.map(({ type, value }) => (type === 'element' ? items[at++]! : value)).join('');
    },
    number: (english) => english.replaceAll(/(?<=\d)[.,](?=\d)/g, (mark) => own(marks, mark) ?? mark),
  };
}
