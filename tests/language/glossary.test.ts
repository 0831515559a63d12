import { readFileSync, readdirSync } from 'node:fs';
import path from 'node:path';
import { describe, expect, test } from 'vitest';
import { parse } from 'yaml';
import { check } from '../../server/src/features/check.ts';
import { root, workspaceOf } from '../support/files.ts';
import { exampleFiles, wholePlan } from '../support/frame.ts';

interface Term {
  /** What is said. */
  readonly term: string;
  /** What is not said in its place: regular expressions. */
  readonly not: readonly string[];
  /** Places in which such a word is right. */
  readonly but?: readonly string[];
  readonly why: string;
}

const read = <T>(file: string): T => parse(readFileSync(path.join(root, file), 'utf8')) as T;
const spanish = read<Record<string, string>>('server/src/language/es.yaml');
const manifest = read<Record<string, string>>('client/l10n/es.yaml');
const glossaryOf = (tag: string): Term[] => read<Term[]>(`tests/language/glossary.${tag}.yaml`);

/** Text that a person reads: without what is typed, such as keys, tasks and findings in backquotes. */
const prose = (text: string): string => text.replaceAll(/`[^`]*`/g, '``');

function faults(texts: readonly string[], glossary: readonly Term[]): string[] {
  return glossary.flatMap(({ term, not, but = [], why }) => {
    const wrong = new RegExp(`(?<![\\p{L}\\d-])(?:${not.join('|')})(?![\\p{L}\\d-])`, 'u');
    const right = but.map((one) => new RegExp(one, 'gu'));
    return texts.flatMap((text) => {
      const seen = right.reduce((left, one) => left.replaceAll(one, ''), prose(text));
      const found = wrong.exec(seen)?.[0];
      return found === undefined ? [] : [`"${found}" for "${term}" (${why}): ${text}`];
    });
  });
}

describe.each([
  ['en', [...Object.keys(spanish), ...Object.keys(manifest)]],
  ['es', [...Object.values(spanish), ...Object.values(manifest)]],
] as const)('the glossary %s', (tag, texts) => {
  const glossary = glossaryOf(tag);

  test('is kept by every text', () => {
    expect(texts.length).toBeGreaterThan(1900);
    expect(faults(texts, glossary)).toEqual([]);
  });

  test.each(glossary.map((term) => [term.term, term] as const))('%s: its words are found', (_, term) => {
    // Each pattern must be a regular expression that can fail a text.
    for (const pattern of term.not) expect(() => new RegExp(pattern, 'u')).not.toThrow();
    expect(term.why.length).toBeGreaterThan(10);
  });
});

test('a forbidden word fails with its reason, in backquotes it does not', () => {
  const glossary = [...glossaryOf('en'), ...glossaryOf('es')];
  expect(faults(['Ask the maker.'], glossary)).toEqual([
    '"the maker" for "vehicle maker" (a connector and a paint have makers too): Ask the maker.',
  ]);
  expect(faults(['Recargue el refrigerante.'], glossary)[0]).toContain('cualquiera de los dos fluidos');
  expect(faults(['Vacíe el líquido refrigerante.', 'Write `mend`.', 'The vehicle maker.'], glossary)).toEqual(
    [],
  );
});

/** What a sentence warns of. */
const danger = {
  en: /\b(kills?|airbags?|pretensioners?|live|burns?|high[- ]voltage|shock|charged capacitors)\b/iu,
  es: /(matan?|airbags?|pretensor(es)?|bajo tensión|quema|alta tensión|descarga eléctrica)/iu,
};
/** An order about the thing that is not named. */
const unnamed = {
  en: /\b(disconnect|touch|open|close|cover|uncover|handle|discharge|isolate|lock|measure|prove|move) (it|them)\b/iu,
  es: /(?<!\p{L})((desconécte|tóque|ábra|ciérre|cúbra|descárgue|mída|muéva|manéje)l[oa]s?|no l[oa]s? (desconecte|toque|abra|cierre|cubra|descargue|mida|mueva|maneje))(?!\p{L})/iu,
};

/** The words of the templates in a source file. */
const templatesIn = (file: string): string[] =>
  [...readFileSync(path.join(root, file), 'utf8').matchAll(/say`((?:[^`\\]|\\.)*)`/g)].map(([, words]) => {
    let place = 0;
    return words!.replaceAll(/\$\{[^}]*\}/g, () => `{${place++}}`).replaceAll('\\`', '`');
  });

/** Where the cautions of the card, its tags, the stops beside readings, the hovers and the pages stand. */
const cautionary = [
  'server/src/features/caution.ts',
  'server/src/heat/estimate.ts',
  'server/src/report/print/cautions.ts',
  'server/src/report/print/step-readings.ts',
  'server/src/report/print/tags.ts',
].flatMap(templatesIn);

/** Messages of errors, as all fixtures of the findings give them. */
const errorsIn = (language: 'en' | 'es'): string[] =>
  readdirSync(path.join(root, 'tests/findings'))
    .filter((name) => name.endsWith('.yaml'))
    .flatMap((name) =>
      read<{ text: string; file?: string; files?: Record<string, string> }[]>(`tests/findings/${name}`),
    )
    .flatMap(({ text, file, files }) => {
      const checked = file ?? 'one.repair-plan.yaml';
      const workspace = workspaceOf({ ...exampleFiles, ...files, [checked]: file ? text : wholePlan(text) });
      return check(workspace, `file:///plans/${checked}`, { today: '2027-02-10', language })
        .filter(({ severity }) => severity === 'error')
        .map(({ message }) => message);
    });

describe.each(['en', 'es'] as const)('the thing warned of is named, in %s', (tag) => {
  const pronouns = (text: string): boolean => danger[tag].test(text) && unnamed[tag].test(text);

  test('in every sentence that speaks of a danger', () => {
    const texts = tag === 'en' ? Object.keys(spanish) : Object.values(spanish);
    expect(texts.filter(pronouns)).toEqual([]);
    // The sentence this is about: it told to disconnect the airbag.
    expect(pronouns('An airbag can fire. Disconnect it first.')).toBe(tag === 'en');
    expect(pronouns('Un airbag puede dispararse. Desconéctelo antes.')).toBe(tag === 'es');
    expect(pronouns('Un contacto bajo tensión mata: no lo toque.')).toBe(tag === 'es');
  });

  test('in every caution of cards, tags, readings, hovers and pages, whatever it speaks of', () => {
    const texts = tag === 'en' ? cautionary : cautionary.map((words) => spanish[words] ?? words);
    expect(texts.length).toBeGreaterThan(60);
    expect(texts.filter((text) => unnamed[tag].test(text))).toEqual([]);
  });

  test('in every error, whatever it speaks of', () => {
    const errors = [...new Set(errorsIn(tag))];
    expect(errors.length).toBeGreaterThan(200);
    expect(errors.filter((text) => unnamed[tag].test(text))).toEqual([]);
  });
});
