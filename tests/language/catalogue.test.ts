import { readFileSync, readdirSync } from 'node:fs';
import path from 'node:path';
import { describe, expect, test, vi } from 'vitest';
import { parse } from 'yaml';
import { allCommands } from '../../server/src/cli/commands.ts';
import { helpFor } from '../../server/src/cli/help.ts';
import { setLanguage } from '../../server/src/cli/terminal.ts';
import { find } from '../../server/src/features/check.ts';
import { languageOf, languageTags } from '../../server/src/language/language.ts';
import { softeningVoltage } from '../../server/src/findings/rules/measurement/softening-voltage.ts';
import { regional } from '../../server/src/language/regional.ts';
import type { RegionalRule } from '../../server/src/language/regional.ts';
import type * as Languages from '../../server/src/language/language.ts';
import type { Language } from '../../server/src/language/language.ts';
import { orList, localizedNumber, andList, say } from '../../server/src/language/phrase.ts';
import { zoneNamed } from '../../server/src/plan/tables/zones.ts';
import { escape, html } from '../../server/src/report/print/html.ts';
import type { Workspace } from '../../server/src/workspace/workspace.ts';
import { root, samples, workspaceOf } from '../support/files.ts';
import { exampleFiles, wholePlan } from '../support/frame.ts';
import { sources, templatesIn } from '../support/sources.ts';
import { shown } from './shown.ts';

/** One more language, which says nothing but what stands in the places. */
vi.mock('../../server/src/language/language.ts', async (original) => {
  const real = await original<typeof Languages>();
  const placesOnly: Language = {
    tag: 'places',
    words: (template) => `\n${(template.match(/\{\d+\}/g) ?? []).join('\n')}\n`,
    list: (words) => words.join('\n'),
    decimal: '.',
    number: () => '',
  };
  return { ...real, languageOf: (tag?: string) => (tag === 'places' ? placesOnly : real.languageOf(tag)) };
});

/** What the schemas say of keys: templates without places that stand in a table. */
function descriptionsIn(node: unknown, found: string[] = []): string[] {
  if (node === null || typeof node !== 'object') return found;
  for (const [key, value] of Object.entries(node)) {
    if (key === 'description' && typeof value === 'string') found.push(value);
    else if (key !== 'examples') descriptionsIn(value, found);
  }
  return found;
}

const schemas = ['repair-plan', 'shop-procedure', 'connector-list', 'rate-sheet'].map(
  (name) => JSON.parse(readFileSync(path.join(root, `schemas/${name}.schema.json`), 'utf8')) as unknown,
);

const places = (template: string): string[] => [...new Set(template.match(/\{\d+\}/g))].sort();
const inSources = new Set([...templatesIn(''), ...schemas.flatMap((one) => descriptionsIn(one))]);

describe.each(languageTags.filter((tag) => tag !== 'en'))('the catalogue %s', (tag) => {
  const catalogue = parse(readFileSync(path.join(sources, `language/${tag}.yaml`), 'utf8')) as Record<
    string,
    string
  >;

  test('translates every message, and nothing else', () => {
    expect(inSources.size).toBeGreaterThan(1700);
    expect([...inSources].filter((template) => !Object.hasOwn(catalogue, template))).toEqual([]);
    expect(Object.keys(catalogue).filter((template) => !inSources.has(template))).toEqual([]);
  });

  test('keeps the placeholders, keys and units of each template', () => {
    const marked = (text: string): string[] => (text.match(/`[a-z][^`{]*`/g) ?? []).sort();
    for (const [english, other] of Object.entries(catalogue)) {
      expect(places(other), english).toEqual(places(english));
      if (!english.includes('`key: value`')) expect(marked(other), english).toEqual(marked(english));
    }
  });
});

const folder = path.join(root, 'tests/findings');

/** The files of every fixture and sample, and which of them is checked. */
function* allTexts(): Generator<{ files: Record<string, string>; checked: string }> {
  for (const checked of Object.keys(samples())) yield { files: samples(), checked };
  for (const name of readdirSync(folder).filter((one) => one.endsWith('.yaml'))) {
    const rows = parse(readFileSync(path.join(folder, name), 'utf8')) as {
      text: string;
      file?: string;
      files?: Record<string, string>;
    }[];
    for (const { text, file, files } of rows) {
      const checked = file ?? 'one.repair-plan.yaml';
      yield { files: { ...exampleFiles, ...files, [checked]: file ? text : wholePlan(text) }, checked };
    }
  }
}

/** All that is said about one text: messages, traces and titles of fixes. */
function said(workspace: Workspace, uri: string, tag: string): string[] {
  const settings = { today: '2027-02-10', language: tag };
  const language = languageOf(tag);
  return find(workspace, uri, settings).flatMap((found) => [
    found.diagnosis.message,
    ...found.diagnosis.trace.map(({ message }) => message),
    ...found
      .fixes(workspace.plan(uri)!)
      .flat()
      .flatMap((fix) => (fix ? [fix.title.in(language)] : [])),
  ]);
}

test('for all fixtures and samples, no message is in English or outside the catalogue', () => {
  const alike: string[] = [];
  const strange = new Set<string>();
  let count = 0;
  for (const { files, checked } of allTexts()) {
    const workspace = workspaceOf(files);
    const uri = `file:///plans/${checked}`;
    const [english, translated] = [said(workspace, uri, 'en'), said(workspace, uri, 'es')];
    expect(translated).toHaveLength(english.length);
    count += english.length;
    alike.push(...translated.filter((words, i) => words === english[i]));
    const text = Object.values(files).join('\n');
    // A shop's own word may be told with its hyphens as spaces.
    const written = text + text.replaceAll('-', ' ');
    for (const value of said(workspace, uri, 'places').flatMap((words) => words.split('\n'))) {
      // Keys and examples of the language go between backticks; what was written goes as it was written.
      const bare = value.replaceAll(/`[^`]*`/g, '').trim();
      if (/\p{L}{2,} \p{L}{2,}/u.test(bare) && !written.includes(bare)) strange.add(bare);
    }
  }
  expect(count).toBeGreaterThan(1000);
  expect(alike).toEqual([]);
  expect([...strange]).toEqual([]);
});

describe('texts shown for the samples', () => {
  const files = samples();
  const workspace = workspaceOf(files);
  const uris = Object.keys(files).map((name) => `file:///plans/${name}`);
  // A shop's own word may be printed with its hyphens as spaces.
  const text = Object.values(files).join('\n').toLowerCase();
  const written = text + text.replaceAll('-', ' ');

  test('come from the catalogue, from the job card to the hovers, except text from the files', () => {
    const strange = new Set<string>();
    for (const uri of uris) {
      for (const [where, texts] of shown(workspace, uri, 'places')) {
        for (const text of texts) {
          // Two words in a row; ids have hyphens or digits.
          for (const [words] of text.matchAll(/(?<![\w-])\p{L}{2,}(?: \p{L}{2,})+(?![\w-])/gu)) {
            if (!written.includes(words.toLowerCase())) strange.add(`${where}: ${words}`);
          }
        }
      }
    }
    expect([...strange]).toEqual([]);
  });

  test('contain no English sentence in Spanish', () => {
    const spanish = parse(readFileSync(path.join(sources, 'language/es.yaml'), 'utf8')) as Record<
      string,
      string
    >;
    const fragments = Object.entries(spanish).flatMap(([english, other]) =>
      english
        .split(/\{\d+\}|\n/)
        .map((part) => part.trim())
        .filter((part) => part.split(/\s+/).length > 3 && !other.includes(part))
        .filter((part) => !written.includes(part.toLowerCase())),
    );
    const all = (tag: string): string =>
      uris
        .flatMap((uri) => [...shown(workspace, uri, tag).values()].flat())
        .join(' ')
        .replaceAll(/\s+/g, ' ');
    const [english, translated] = [all('en'), all('es')];
    // So many sentences that the test above is no empty one.
    expect(fragments.filter((part) => english.includes(part)).length).toBeGreaterThan(300);
    expect(fragments.filter((part) => translated.includes(part))).toEqual([]);
  });
});

test('the help of every command comes from the catalogue, except names and examples', async () => {
  setLanguage('places');
  for (const { name, ...command } of await allCommands()) {
    const examples = command.examples.map(([example]) => example);
    const typed = ['en es es', command.usage, ...examples].join('\n');
    const strange = [...helpFor(name, command, 80).matchAll(/[a-z]{2,}(?: [a-z]{2,})+/g)].flatMap(
      ([words]) => (typed.includes(words) ? [] : [words]),
    );
    expect(strange).toEqual([]);
  }
});

test.each(['es', 'es-MX'])('the help in %s has no place to fill in with an English name', async (tag) => {
  setLanguage(tag);
  const places = new Set<string>();
  for (const { name, ...command } of await allCommands())
    for (const [place] of helpFor(name, command, 80).matchAll(/(?<![\w-])\p{Lu}{2,}(?![\w-])/gu))
      places.add(place);
  const allowed =
    'ARCHIVO ARCHIVOS RUTAS PLAN ANTERIOR NUEVO REVISIÓN HALLAZGO NIVEL FECHA FORMATO GRAVEDAD PARTE IDIOMA OPCIONES ORDEN CARPETA ID AAAA MM DD';
  const typed = [
    'SARIF',
    'HEAD',
    'LANG',
    'JSON',
    'CSV',
    'HTML',
    'SVG',
    'HL',
    'CI',
    'II',
    'ASCII',
    'XML',
    'FOLDER',
  ];
  expect([...places].filter((one) => !allowed.split(' ').includes(one) && !typed.includes(one))).toEqual([]);
  expect(places.has('ARCHIVO')).toBe(true);
});

describe('Spanish', () => {
  const spanish = languageOf('es');

  test('joins lists and formats numbers by its own rules', () => {
    // Real Academia Española: «y» becomes «e» before the sound i, «o» becomes «u» before the sound o; decimals
    // after a comma; thousands parted by a space (Ortografía de la lengua española, 2010).
    expect(andList(['a', 'b', 'inverter-dc']).in(spanish)).toBe('a, b e inverter-dc');
    expect(orList(['siete', 'ocho']).in(spanish)).toBe('siete u ocho');
    // The sound decides, not the markup in front of it.
    const names = ['a', 'interbloqueo'].map((name) => html`<b class="id">${name}</b>`);
    expect(andList(names).in(spanish, escape)).toBe('<b class="id">a</b> e <b class="id">interbloqueo</b>');
    expect(localizedNumber('17,000.5 V').in(spanish)).toBe('17\u00a0000,5 V');
    expect(say`${2.5} million`.in(undefined)).toBe('2.5 million');
    expect(andList(['a', 'b', 'c']).in(undefined)).toBe('a, b and c');
  });

  test('is taken from the locale; untranslated locales get English', () => {
    const tags = ['es', 'es-ES', 'ES_mx.UTF-8', 'es-419', 'es_', 'es-MX-u-nu-arab'];
    expect(tags.map((locale) => languageOf(locale)?.tag)).toEqual([
      'es',
      'es-ES',
      'es-MX',
      'es-419',
      'es',
      'es-MX',
    ]);
    expect(['en-GB', 'C', 'POSIX', '', 'est', 'constructor', undefined].map(languageOf)).toEqual(
      Array(7).fill(undefined),
    );
    expect(say`no such template ${localizedNumber('1.5')}`.in(spanish)).toBe('no such template 1,5');
  });

  // Unicode CLDR: a point in Mexico and Latin America, a comma in Spain and Argentina.
  test.each([
    ['es', '2,5'],
    ['es-ES', '2,5'],
    ['es-AR', '2,5'],
    ['es-MX', '2.5'],
    ['es-419', '2.5'],
  ])('has the decimal sign of its region: %s', (locale, number) => {
    expect(localizedNumber('2.5').in(languageOf(locale))).toBe(number);
    const rule = softeningVoltage.page().source.in(languageOf(locale));
    expect(rule.match(/0[.,]12/)?.[0]).toBe(`0${number[1]!}12`);
  });
});

describe('the words of Mexico', () => {
  const read = <T>(tag: string): T =>
    parse(readFileSync(path.join(sources, `language/${tag}.yaml`), 'utf8')) as T;
  const spanish = read<Record<string, string>>('es');
  const rules = read<RegionalRule[]>('es-MX');
  /** The words of the catalogue that rules change, as they are then. */
  const changed = (before: Readonly<Record<string, string>>, some: readonly RegionalRule[]) => {
    const inRegion = regional(some);
    const after = Object.entries(before).map(([english, words]) => [english, inRegion(words)] as const);
    return Object.fromEntries(after.filter(([english, words]) => words !== before[english]));
  };
  const mexican = changed(spanish, rules);

  test.each([
    [say`DC`, 'CC', 'CD'],
    [say`earth connection`, 'conexión de masa', 'conexión a tierra'],
    [say`Isolate high voltage`, 'Desactivar la alta tensión', 'Desactivar el alto voltaje'],
    [
      say`Wait for capacitors to discharge`,
      'Esperar la descarga de los condensadores',
      'Esperar la descarga de los capacitores',
    ],
    [say`Disconnect`, 'Desconectar', 'Desconectar'],
  ])('%s', (phrase, spain, mexico) => {
    expect(phrase.in(languageOf('es'))).toBe(spain);
    expect(phrase.in(languageOf('es-MX'))).toBe(mexico);
  });

  test('come from rules that each change something', () => {
    for (const [at, rule] of rules.entries()) {
      const before = { ...spanish, ...changed(spanish, rules.slice(0, at)) };
      expect(Object.keys(changed(before, [rule])), rule[0]).not.toEqual([]);
    }
  });

  test('keep places and typed words, and agree with what they stand beside', () => {
    expect(Object.keys(mexican).length).toBeGreaterThan(150);
    const feminine =
      /(?<!\p{L})((la|una|esa|esta|toda|cuya|misma) ((alto|bajo) )?(voltaje|capacitor)|(voltajes?|capacitor(es)?) (más |demasiado |muy )?(\p{L}+ad|alt|baj|equivocad|much|mism|continu|altern|estátic|máxim|mínim|abiert|segur)as?)(?!\p{L})/u;
    const spain = /(?<!\p{L})(CC|masa|condensador(es)?|cualificad[oa]s?|(alta|baja) tensión)(?!\p{L})/u;
    for (const [english, words] of Object.entries(mexican)) {
      expect(places(words), english).toEqual(places(english));
      expect(words.match(/`[^`]*`/g), english).toEqual(spanish[english]!.match(/`[^`]*`/g));
      expect(words, english).not.toMatch(feminine);
      expect(words, english).not.toMatch(spain);
    }
  });
});

test('a zone is named as the file has it, in another language with its words beside it', () => {
  const words = (id: string, tag?: string): string => zoneNamed(id).in(languageOf(tag));
  expect(words('quarter-left')).toBe('quarter-left');
  expect(words('quarter-left', 'es')).toBe('quarter-left (panel lateral trasero izquierdo)');
  expect(words('estribo-izq', 'es')).toBe('estribo-izq');
  expect(words('to-string', 'es')).toBe('to-string');
});
