import { numbersOf } from '../base/numbers.ts';
import type { Numbers } from '../base/numbers.ts';
import type { Kind } from '../document/kind.ts';
import type { SymbolKind, WrittenName } from '../plan/symbols.ts';
import type { LineIndex } from '../text/line-index.ts';
import type { Origin, Range } from '../text/span.ts';

/**
 * What others need of a plan that nobody has open, in place of its text and its tree. It depends on that text alone, so that
 * it stays true whatever becomes of the files that the plan uses.
 */
export interface Summary {
  readonly kind: Kind;
  /** Of the text that it was made from. */
  readonly print: TextPrint;
  readonly lines: LineIndex;
  /** Whether a part of the text could not be read, so that a name may stand there. */
  readonly isBroken: boolean;
  /** The files it uses, as far as the schema lets them. */
  readonly uses: readonly { readonly path: string; readonly uri: string }[];
  /** The photographs it names. */
  readonly photos: readonly string[];
  /** Paths to other files, as far as they can be written anew. */
  readonly paths: readonly WrittenPath[];
  readonly names: NameTable;
  readonly symbols: SymbolTable;
}

/** A path from a file to another one. */
export interface WrittenPath {
  readonly path: string;
  /** Where it leads. */
  readonly target: string;
  readonly start: number;
  readonly end: number;
  /** The quotes around it; undefined where it is not written on one line. */
  readonly quotes: '' | '"' | "'" | undefined;
}

/** What tells one text from another. */
export interface TextPrint {
  readonly length: number;
  /** Two hashes of 32 bits. */
  readonly hashes: readonly [number, number];
}

/** FNV-1a, and a sum of other weights. */
export function printOf(text: string): TextPrint {
  // Signed from the start: an engine that has seen a larger number counts in floating point.
  let [hash, sum] = [0x811c9dc5 | 0, 0];
  const { length } = text;
  for (let i = 0; i < length; i++) {
    const code = text.charCodeAt(i);
    hash = Math.imul(hash ^ code, 0x01000193);
    sum = (Math.imul(sum, 31) + code) | 0;
  }
  return { length, hashes: [hash, sum] };
}

export const isPrintOf = ({ length, hashes }: TextPrint, text: string): boolean => {
  if (length !== text.length) return false;
  const now = printOf(text).hashes;
  return now[0] === hashes[0] && now[1] === hashes[1];
};

/** A name as it is put into a table. */
export interface PlacedName {
  readonly name: WrittenName;
  readonly start: number;
  readonly end: number;
  /** Where the id itself starts, behind a quote or a `$`; undefined where it cannot be replaced safely. */
  readonly exact: number | undefined;
}

/** What the occurrences of a name in one file have in common. Files share equal ones. */
interface Heading extends Omit<WrittenName, 'span' | 'role'> {
  readonly length: number;
  /** From the start of an occurrence to that of the id itself. */
  readonly shift?: number | undefined;
}

type Unshared = { readonly [K in keyof Heading]: Heading[K] | undefined } & Pick<
  Heading,
  'kind' | 'id' | 'length'
>;

/** A table as it is kept in a file, but for its rows. */
export interface NameTableData {
  /** By their keys. */
  readonly headings: readonly string[];
}

/** The names of a file, in the order of the text; two numbers for each occurrence. */
export class NameTable {
  readonly #headings: readonly Heading[];
  /** Pairs: number of the heading, doubled, and one more for a definition; start. */
  readonly rows: Numbers;

  private constructor(headings: readonly Heading[], rows: Numbers) {
    this.#headings = headings;
    this.rows = rows;
  }

  static of(names: readonly PlacedName[]): NameTable {
    const headings: Heading[] = [];
    const numbers = new Map<string, number>();
    const rows: number[] = [];
    for (const { name, start, end, exact } of names) {
      const { kind, id, isOpen, procedure, parameter, inside, role } = name;
      const shift = exact === undefined ? undefined : exact - start;
      const key = keyOf({ kind, id, isOpen, procedure, parameter, inside, length: end - start, shift });
      let number = numbers.get(key);
      if (number === undefined) {
        numbers.set(key, (number = headings.length));
        headings.push(headingOf(key));
      }
      rows.push(2 * number + (role === 'definition' ? 1 : 0), start);
    }
    return new NameTable(headings, numbersOf(rows));
  }

  static from({ headings }: NameTableData, rows: Numbers): NameTable {
    return new NameTable(headings.map(headingOf), rows);
  }

  toJSON(): NameTableData {
    return { headings: this.#headings.map(keyOf) };
  }

  /** The occurrences of an id in the file `uri`, whatever it names. */
  named(uri: string, id: string): WrittenName[] {
    const found: WrittenName[] = [];
    const headings = this.#headings;
    if (!headings.some((heading) => heading.id === id)) return found;
    const origin = { uri, base: 0 };
    const rows = this.rows;
    for (let at = 0; at < rows.length; at += 2) {
      if (headings[rows[at]! >>> 1]!.id === id) found.push(this.#row(at, origin));
    }
    return found;
  }

  /** The names that touch an offset. */
  at(uri: string, offset: number): WrittenName[] {
    const found: WrittenName[] = [];
    for (let at = 0; at < this.rows.length; at += 2) {
      const start = this.rows[at + 1]!;
      const { length } = this.#headings[this.rows[at]! >>> 1]!;
      if (start <= offset && offset <= start + length) found.push(this.#row(at, { uri, base: 0 }));
    }
    return found;
  }

  #row(at: number, origin: Origin): WrittenName {
    const one = this.rows[at]!;
    const from = this.rows[at + 1]!;
    const { length, kind, id, isOpen, procedure, parameter, inside } = this.#headings[one >>> 1]!;
    const span = { origin, from, to: from + length };
    const role = one & 1 ? 'definition' : 'reference';
    // Most names have none of the rest, and of these there are many.
    if (!isOpen && procedure === undefined && !inside) return { kind, id, span, role };
    return {
      kind,
      id,
      span,
      role,
      ...(isOpen && { isOpen }),
      ...(procedure !== undefined && { procedure }),
      ...(parameter !== undefined && { parameter }),
      ...(inside && { inside }),
    };
  }

  /** Whether a kind of thing is defined under an id in the file itself. */
  defines(kind: SymbolKind, id: string): boolean {
    const headings = this.#headings;
    for (let at = 0; at < this.rows.length; at += 2) {
      const one = this.rows[at]!;
      const heading = headings[one >>> 1]!;
      if ((one & 1) === 1 && heading.id === id && heading.kind === kind) return true;
    }
    return false;
  }

  /** Where the id itself stands in an occurrence that starts at `start`. */
  exact(uri: string, id: string, start: number): Range | undefined {
    for (let at = 0; at < this.rows.length; at += 2) {
      if (this.rows[at + 1] !== start) continue;
      const heading = this.#headings[this.rows[at]! >>> 1]!;
      if (heading.id !== id || heading.shift === undefined) continue;
      const from = start + heading.shift;
      return { uri, start: from, end: from + id.length };
    }
    return undefined;
  }
}

/** A thing that a search through all files finds. */
export interface FileSymbol {
  readonly name: string;
  readonly kind: 'file' | 'section' | 'operation' | 'procedure' | 'connector' | 'line' | 'good' | 'name';
  /** Name of the file that holds it; empty for the file itself. */
  readonly container: string;
  readonly selection: Range;
}

const symbolKinds: readonly FileSymbol['kind'][] = [
  'file',
  'section',
  'operation',
  'procedure',
  'connector',
  'line',
  'good',
  'name',
];

export interface SymbolTableData {
  readonly container: string;
  readonly names: readonly string[];
}

/** What a search through all files finds in one. */
export class SymbolTable {
  readonly #container: string;
  readonly #names: readonly string[];
  /** Threes: kind, and eight more where it has a container; start; end. */
  readonly rows: Numbers;

  private constructor(container: string, names: readonly string[], rows: Numbers) {
    this.#container = kept(container);
    this.#names = names.map(kept);
    this.rows = rows;
  }

  static of(symbols: readonly FileSymbol[]): SymbolTable {
    const container = symbols.find((fileSymbol) => fileSymbol.container !== '')?.container ?? '';
    const rows = symbols.flatMap(({ kind, container: holder, selection: { start, end } }) => [
      symbolKinds.indexOf(kind) + (holder === '' ? 0 : 8),
      start,
      end,
    ]);
    return SymbolTable.from({ container, names: symbols.map(({ name }) => name) }, numbersOf(rows));
  }

  static from({ container, names }: SymbolTableData, rows: Numbers): SymbolTable {
    return new SymbolTable(container, names, rows);
  }

  toJSON(): SymbolTableData {
    return { container: this.#container, names: this.#names };
  }

  *named(uri: string, wanted: (name: string) => boolean): Generator<FileSymbol> {
    for (const [at, name] of this.#names.entries()) {
      if (!wanted(name)) continue;
      const [kind, start, end] = this.rows.subarray(3 * at, 3 * at + 3) as unknown as [
        number,
        number,
        number,
      ];
      const container = kind < 8 ? '' : this.#container;
      yield { name, kind: symbolKinds[kind % 8]!, container, selection: { uri, start, end } };
    }
  }
}

/** Equal values that the tables of many files hold, each once. To forget them costs only room. */
const maxShared = 100_000;
const strings = new Map<string, string>();
const headings = new Map<string, Heading>();

/** An equal string that keeps no text alive of which it is a part. */
export function kept(text: string): string {
  let known = strings.get(text);
  if (known === undefined) {
    if (strings.size >= maxShared) strings.clear();
    // V8 makes a slice refer to the whole; what is read from JSON is a string of its own.
    known = JSON.parse(JSON.stringify(text)) as string;
    strings.set(known, known);
  }
  return known;
}

/** The same for equal headings, and for no others; `headingOf` makes the heading of it. */
const keyOf = ({ kind, id, isOpen, procedure, parameter, inside, length, shift }: Unshared): string =>
  // As a rule the rest is not there.
  isOpen || procedure !== undefined || parameter !== undefined || inside
    ? JSON.stringify({ kind, id, length, shift, isOpen, procedure, parameter, inside })
    : `${kind} ${length} ${shift ?? ''} ${id}`;

function headingOf(key: string): Heading {
  let known = headings.get(key);
  if (!known) {
    if (headings.size >= maxShared) headings.clear();
    const [kind, length, shift, ...id] = key.split(' ');
    known = key.startsWith('{')
      ? (JSON.parse(key) as Heading)
      : {
          kind: kind as SymbolKind,
          id: kept(id.join(' ')),
          length: Number(length),
          ...(shift && { shift: Number(shift) }),
        };
    headings.set(kept(key), known);
  }
  return known;
}
