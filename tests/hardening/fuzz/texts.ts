import { readFileSync } from 'node:fs';
import path from 'node:path';
import { shipped, fixtures } from '../../laws/texts.ts';
import type { Text } from '../../laws/texts.ts';
import { root } from '../../support/files.ts';
import { exampleFiles, wholePlan } from '../../support/frame.ts';
import type { Random } from './random.ts';
import { scalars, signs, unicode } from './traps.ts';

/** A damaged or invented text among the files it uses, and how it came to be. */
export interface Drawn extends Text {
  readonly how: string;
  /** The text it was made of. */
  readonly from?: string;
}

/** Short texts, so that many of them can be tried: every row of the fixtures. */
export const small: readonly Text[] = fixtures;
export const large: readonly Text[] = shipped;

const anything = (random: Random): string => {
  const from = random.below(4);
  if (from === 0) return random.pick(signs);
  if (from === 1) return random.pick(unicode);
  if (from === 2) return random.pick(scalars);
  return String.fromCharCode(...Array.from({ length: 1 + random.below(4) }, () => random.below(65_536)));
};

type Mutate = (text: string, random: Random) => string;

const at = (text: string, random: Random): number => random.below(text.length + 1);

function inLines(change: (lines: string[], at: number, random: Random) => void): Mutate {
  return (text, random) => {
    const lines = text.split('\n');
    change(lines, random.below(lines.length), random);
    return lines.join('\n');
  };
}

/** The values of a text, roughly: what stands behind a colon or in a list, up to the next sign. */
const values = /(?<=[:[,] )[^,\]}\n#]+/g;

const mutations: Readonly<Record<string, Mutate>> = {
  'bytes changed': (text, random) => {
    const bytes = Buffer.from(text);
    for (let n = 1 + random.below(4); n > 0 && bytes.length > 0; n--)
      bytes[random.below(bytes.length)] = random.below(256);
    return new TextDecoder('utf-8', { ignoreBOM: true }).decode(bytes);
  },
  'cut off': (text, random) => text.slice(0, at(text, random)),
  'half typed': (text, random) => {
    const from = at(text, random);
    const end = text.indexOf('\n', from);
    return text.slice(0, from) + (end < 0 ? '' : text.slice(end));
  },
  'something put in': (text, random) => {
    const from = at(text, random);
    return text.slice(0, from) + anything(random) + text.slice(from);
  },
  'a stretch taken out': (text, random) => {
    const from = at(text, random);
    return text.slice(0, from) + text.slice(from + 1 + random.below(40));
  },
  'a value replaced': (text, random) => {
    const found = [...text.matchAll(values)];
    if (found.length === 0) return text;
    const match = random.pick(found);
    const value = random.chance(0.8) ? random.pick(scalars) : anything(random);
    return text.slice(0, match.index) + value + text.slice(match.index + match[0].length);
  },
  'a value exchanged for another': (text, random) => {
    const found = [...text.matchAll(values)];
    if (found.length === 0) return text;
    const match = random.pick(found);
    return text.slice(0, match.index) + random.pick(found)[0] + text.slice(match.index + match[0].length);
  },
  'a line twice': inLines((lines, i) => lines.splice(i, 0, lines[i]!)),
  'a line gone': inLines((lines, i) => lines.splice(i, 1)),
  'a line elsewhere': inLines((lines, i, random) =>
    lines.splice(random.below(lines.length), 0, ...lines.splice(i, 1)),
  ),
  'a line indented otherwise': inLines((lines, i, random) => {
    lines[i] = ' '.repeat(random.below(9)) + lines[i]!.trimStart();
  }),
  'two texts spliced': (text, random) => {
    const other = random.pick(small).text;
    return text.slice(0, at(text, random)) + other.slice(at(other, random));
  },
  'nested deeply': (text, random) => {
    const depth = random.chance(0.02) ? 2000 : 1 + random.below(80);
    const [open, close] = random.pick([
      ['[', ']'],
      ['{ a: ', ' }'],
      ['- ', ''],
      ['? ', ''],
    ] as const);
    const from = at(text, random);
    const shut = random.chance(0.5) ? close.repeat(depth) : '';
    return `${text.slice(0, from)}${open.repeat(depth)}${shut}${text.slice(from)}`;
  },
  anchored: (text, random) => {
    const found = [...text.matchAll(values)];
    if (found.length < 2) return text;
    const [first, second] = [random.pick(found), random.pick(found)].sort((a, b) => a.index - b.index);
    const mark = `&k ${text.slice(first!.index, second!.index)}`;
    return `${text.slice(0, first!.index)}${mark}*k ${text.slice(second!.index + second![0].length)}`;
  },
  merged: inLines((lines, i, random) => {
    const indent = /^ */.exec(lines[i]!)![0];
    lines.splice(i, 0, `${indent}x-base: &base { do: grind, id: op10, connectors: [inverter-dc] }`);
    lines.splice(
      i + 1 + random.below(3),
      0,
      `${indent}<<: ${random.pick(['*base', '[*base, *base]', '*none'])}`,
    );
  }),
  'an alias bomb': (text, random) => {
    const width = 2 + random.below(9);
    const levels = 'abcdefgh'.slice(0, 1 + random.below(8)).split('');
    const bomb = levels.map((c, i) =>
      i === 0
        ? `x-${c}: &${c} [x]\n`
        : `x-${c}: &${c} [${Array(width)
            .fill(`*${levels[i - 1]!}`)
            .join(', ')}]\n`,
    );
    return random.chance(0.5)
      ? bomb.join('') + text
      : `${text}\n${bomb.join('')}labour: *${levels.at(-1)!}\n`;
  },
  'other line ends': (text, random) =>
    random.pick([
      text.replaceAll('\n', '\r\n'),
      text.replaceAll('\n', '\r'),
      text.replace(/\n/g, () => random.pick(['\n', '\r\n', '\r', '\u2028'])),
    ]),
  'a byte-order mark': (text) => `\ufeff${text}`,
  'a long word': (text, random) => {
    const from = at(text, random);
    return (
      text.slice(0, from) + random.pick(['x', ' ', '😀', '\\', '#', 'a,']).repeat(120) + text.slice(from)
    );
  },
  'many entries': (text, random) => {
    const lines = text.split('\n').filter((line) => /^ +- /.test(line));
    return lines.length === 0 ? text : `${text}\n${`${random.pick(lines)}\n`.repeat(15)}`;
  },
};

/** A text of the fixtures or the samples with one to four things done to it. */
function mutated(random: Random): Drawn {
  const source = random.pick(random.chance(0.99) ? small : large);
  const done: string[] = [];
  let { text } = source;
  for (let n = 1 + random.below(4); n > 0; n--) {
    const how = random.pick(Object.keys(mutations));
    done.push(how);
    text = mutations[how]!(text, random);
  }
  return { ...source, text, from: source.text, how: `${source.name}: ${done.join(', ')}` };
}

interface Schema {
  readonly $ref?: string;
  readonly type?: string | readonly string[];
  readonly enum?: readonly unknown[];
  readonly examples?: readonly unknown[];
  readonly properties?: Readonly<Record<string, Schema>>;
  readonly required?: readonly string[];
  readonly items?: Schema;
  readonly anyOf?: readonly Schema[];
  readonly oneOf?: readonly Schema[];
  readonly $defs?: Readonly<Record<string, Schema>>;
}

const kinds = ['repair-plan', 'shop-procedure', 'connector-list', 'rate-sheet'] as const;
const schemas = Object.fromEntries(
  kinds.map((kind) => [
    kind,
    JSON.parse(readFileSync(path.join(root, `schemas/${kind}.schema.json`), 'utf8')) as Schema,
  ]),
);

/** Few ids for everything, so that names meet, clash and run in circles. */
const ids = [
  'op10',
  'op20',
  'op30',
  'inverter-dc',
  'park-sensor',
  'S1',
  'orange-tape',
  'electrical',
  'quarter-left',
];

/** A document that follows the grammar of the schema, with a slip here and there. */
function grammatical(random: Random): Drawn {
  const kind = random.chance(0.7) ? 'repair-plan' : random.pick(kinds);
  const whole = schemas[kind]!;
  const slip = random.pick([0, 0, 0.02, 0.1]);
  let left = 60 + random.below(120);

  const value = (given: Schema, key: string, depth: number): string => {
    left--;
    const schema = given.$ref
      ? { ...whole.$defs![given.$ref.replace('#/$defs/', '')]!, examples: given.examples }
      : given;
    if (random.chance(slip)) return anything(random);
    const choices = schema.anyOf ?? schema.oneOf;
    if (choices) return value(random.pick(choices), key, depth);
    if (schema.properties) {
      const names = Object.keys(schema.properties).filter(
        (name) => schema.required?.includes(name) || (left > 0 && random.chance(0.4)),
      );
      const inside = names.map((name) => `${name}: ${value(schema.properties![name]!, name, depth + 1)}`);
      if (inside.length > 0 && random.chance(slip)) inside.push(random.pick(inside));
      return `{ ${inside.join(', ')} }`;
    }
    if (schema.items) {
      const length = left > 0 ? random.below(4) : 1;
      return `[${Array.from({ length }, () => value(schema.items!, key, depth + 1)).join(', ')}]`;
    }
    if (schema.enum) return String(random.pick(schema.enum));
    if (random.chance(0.1)) return random.pick(scalars);
    if (
      /^(id|for|after|connector|connectors|zone|zones|rate|item|using|source|reference|at|name)$/.test(key) &&
      random.chance(0.8)
    )
      return random.pick(ids);
    return schema.examples?.length ? JSON.stringify(random.pick(schema.examples)) : random.pick(scalars);
  };

  const lines = Object.entries(whole.properties ?? {})
    .filter(([key], i) => i === 0 || whole.required?.includes(key) || random.chance(0.5))
    .map(([key, schema]) => {
      const { items } = schema.$ref ? whole.$defs![schema.$ref.replace('#/$defs/', '')]! : schema;
      if (!items || random.chance(0.2)) return `${key}: ${value(schema, key, 0)}\n`;
      const entries = Array.from({ length: 1 + random.below(5) }, () => {
        left = Math.max(left, 12);
        return `  - ${value(items, key, 1)}\n`;
      });
      return `${key}:\n${entries.join('')}`;
    });
  if (random.chance(0.1)) lines.sort(() => random.next() - 0.5);
  let text = lines.join('');
  if (kind === 'repair-plan' && random.chance(0.5)) text = wholePlan(text);
  let how = `a ${kind} by the grammar`;
  if (random.chance(0.2)) {
    const name = random.pick(Object.keys(mutations));
    text = mutations[name]!(text, random);
    how += `, ${name}`;
  }
  return { name: `drawn.${kind}.yaml`, text, files: exampleFiles, how };
}

export const drawn = (random: Random): Drawn => (random.chance(0.6) ? mutated(random) : grammatical(random));
