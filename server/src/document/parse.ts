import { isAlias, isMap, isScalar, isSeq, parseDocument } from 'yaml';
import type { Document as YamlDocument, Node as YamlNode } from 'yaml';
import type { AnyNode, Entry, ListNode, MapNode, ScalarNode } from './node.ts';
import { cut } from './sections.ts';
import type { Piece } from './sections.ts';
import type { Origin, Span } from './text.ts';

/** What is wrong with the text itself, before any schema is asked. */
export interface Problem {
  readonly kind: 'not-yaml' | 'key-twice' | 'too-large';
  readonly span: Span;
  readonly message: string;
  /** The top-level section it damages; undefined when it damages the whole file. */
  readonly section?: string;
  /** It stays within one item of the section's list; the other items are sound. */
  readonly contained?: boolean;
}

export interface Parsed {
  readonly root: MapNode<Record<string, unknown>> | undefined;
  readonly problems: readonly Problem[];
}

/** Beyond these a text is refused with a finding rather than read for minutes. Units: UTF-16 code units; nodes; levels. */
export const limits = { text: 4_000_000, nodes: 400_000, depth: 60, problems: 20 } as const;

type AnyMap = MapNode<Record<string, unknown>>;

class Map_ implements AnyMap {
  readonly kind = 'map';
  bad = false;
  broken?: boolean;
  constructor(
    readonly span: Span,
    readonly flow: boolean,
    readonly entries: readonly Entry[],
  ) {}
  entry(key: string): Entry | undefined {
    return this.entries.find((entry) => entry.key === key);
  }
  get(key: string): never {
    const value = this.entry(key)?.value;
    const absent = value === undefined || value.bad || (value.kind === 'scalar' && value.value === null);
    return (absent ? undefined : value) as never;
  }
}

const scalar = (value: unknown, span: Span): ScalarNode<unknown> => ({
  kind: 'scalar',
  flow: false,
  bad: false,
  value,
  span,
});

/**
 * Reads one YAML 1.2 document into the located tree. Never throws: what cannot be read is a problem with a place,
 * and the rest is returned.
 */
export function parse(uri: string, text: string): Parsed {
  if (text.length > limits.text) {
    const span = { origin: { uri, base: 0 }, from: 0, to: Math.min(80, text.length) };
    const size = (text.length / 1e6).toFixed(1);
    const message = `This file holds ${size} million characters; Plugward reads up to ${limits.text / 1e6} million. Split it into several plans.`;
    return { root: undefined, problems: [{ kind: 'too-large', span, message }] };
  }
  return new Reader(uri, text).read();
}

class Reader {
  readonly #problems: Problem[] = [];
  readonly #anchors = new Map<string, AnyNode>();
  readonly #weights = new WeakMap<AnyNode, number>();
  #nodes = 0;
  #section: string | undefined;
  #contained = false;

  constructor(
    readonly uri: string,
    readonly text: string,
  ) {}

  read(): Parsed {
    const pieces = cut(this.text);
    const root = pieces ? this.#readPieces(pieces) : this.#readWhole();
    return { root, problems: this.#problems.slice(0, limits.problems) };
  }

  #readWhole(): AnyMap | undefined {
    const origin: Origin = { uri: this.uri, base: 0 };
    const node = this.#node({ start: 0, end: this.text.length }, origin);
    if (node?.kind === 'map') return node;
    if (this.#problems.length === 0) {
      const message = 'Nothing to check here yet: a file starts with a key such as `plan: HL-0147`.';
      const end = Math.min(this.text.length, 80);
      this.#report('not-yaml', { origin, from: 0, to: end }, message);
    }
    return undefined;
  }

  #readPieces(pieces: NonNullable<ReturnType<typeof cut>>): AnyMap {
    for (const stray of pieces.strays) {
      const source = this.text.slice(stray.start, stray.end);
      const indent = source.length - source.trimStart().length;
      const span = {
        origin: { uri: this.uri, base: stray.start },
        from: indent,
        to: source.trimEnd().length,
      };
      const message = `This line belongs to nothing: "${source.trim().slice(0, 40)}". Write it as \`key: value\`, or start it with \`- \` as an entry of the list above.`;
      this.#problems.push({ kind: 'not-yaml', span, message, section: '', contained: true });
    }
    const entries: Entry[] = [];
    const seen = new Set<string>();
    for (const section of pieces.sections) {
      this.#section = section.key;
      const origin: Origin = { uri: this.uri, base: section.start };
      const keySpan = { origin, from: 0, to: section.key.length };
      let value: AnyNode | undefined;
      if (section.items) {
        const items: AnyNode[] = [];
        for (const piece of section.items) {
          this.#contained = true;
          const before = this.#problems.length;
          const list = this.#node(piece, { uri: this.uri, base: piece.start });
          this.#contained = false;
          if (list?.kind !== 'list') continue;
          for (const item of list.items as readonly AnyNode[]) {
            if (this.#problems.length > before) item.broken = true;
            items.push(item);
          }
        }
        const first = section.items[0]!;
        const indent = /^ */.exec(this.text.slice(first.start, first.end))![0].length;
        const last = section.items.at(-1)!;
        const to = last.start - section.start + this.text.slice(last.start, last.end).trimEnd().length;
        const span = { origin, from: first.start + indent - section.start, to };
        value = { kind: 'list', flow: false, bad: false, span, items: items as never };
      } else {
        const map = this.#node(section, origin);
        value = map?.kind === 'map' ? map.entries[0]?.value : undefined;
      }
      if (seen.has(section.key)) this.#twice(section.key, keySpan);
      else entries.push({ key: section.key, keySpan, value: value ?? scalar(null, keySpan) });
      seen.add(section.key);
    }
    this.#section = undefined;
    const origin: Origin = { uri: this.uri, base: 0 };
    const to = this.text.trimEnd().length;
    return new Map_({ origin, from: pieces.sections[0]!.start, to }, false, entries);
  }

  #node(piece: Piece, origin: Origin): AnyNode | undefined {
    const source = this.text.slice(piece.start, piece.end);
    let document: YamlDocument;
    try {
      document = parseDocument(source, {
        version: '1.2',
        uniqueKeys: false,
        prettyErrors: false,
        logLevel: 'error',
      });
    } catch (error) {
      // The library recurses; text nested thousands deep exhausts the stack.
      const message = `This part is nested too deeply to be read (${String(error).slice(0, 60)}).`;
      this.#report('not-yaml', { origin, from: 0, to: Math.min(80, source.length) }, message);
      return undefined;
    }
    // One slip often raises several errors: what is not closed explains the rest, else the first is the slip itself.
    const error = document.errors.find(({ code }) => code === 'MISSING_CHAR') ?? document.errors[0];
    if (error) {
      const from = Math.min(error.pos[0], Math.max(0, source.trimEnd().length - 1));
      const to = Math.max(from + 1, Math.min(error.pos[1], source.length));
      this.#report('not-yaml', { origin, from, to }, plainYamlError(error.code, error.message));
    }
    return document.contents ? this.#convert(document.contents as YamlNode, origin, 0) : undefined;
  }

  #convert(node: YamlNode, origin: Origin, depth: number): AnyNode {
    const from = node.range?.[0] ?? 0;
    let to = node.range?.[1] ?? from;
    if (isAlias(node)) {
      const target = this.#anchors.get(node.source);
      const weight = target ? (this.#weights.get(target) ?? 1) : 1;
      if (target && this.#nodes + weight <= limits.nodes) {
        this.#nodes += weight;
        return target;
      }
      const span = { origin, from, to };
      if (target) {
        const message = `The alias *${node.source} repeats so much that the plan would grow beyond ${limits.nodes} values. Write the part out, or repeat less.`;
        this.#report('too-large', span, message);
      }
      return scalar(null, span);
    }
    const before = this.#nodes++;
    if (depth > limits.depth || this.#nodes > limits.nodes) {
      const span = { origin, from, to };
      this.#report(
        'too-large',
        span,
        `Plugward reads up to ${limits.nodes} values, nested ${limits.depth} deep.`,
      );
      return scalar(null, span);
    }
    let made: AnyNode;
    if (isMap(node)) {
      const entries: Entry[] = [];
      const seen = new Set<string>();
      const merged: AnyNode[] = [];
      for (const pair of node.items) {
        const key = pair.key as YamlNode | null;
        const keySpan = { origin, from: key?.range?.[0] ?? from, to: key?.range?.[1] ?? from };
        if (!isScalar(key)) {
          this.#report('not-yaml', keySpan, 'A key must be a plain word.');
          continue;
        }
        const name = String(key.value);
        const value = pair.value
          ? this.#convert(pair.value as YamlNode, origin, depth + 1)
          : scalar(null, { origin, from: keySpan.to, to: keySpan.to });
        to = Math.max(to, keySpan.to);
        if (name === '<<') merged.push(value);
        else if (seen.has(name)) this.#twice(name, keySpan);
        else entries.push({ key: name, keySpan, value });
        seen.add(name);
      }
      for (const source of merged) {
        const parts = source.kind === 'list' ? (source.items as readonly AnyNode[]) : [source];
        for (const part of parts) {
          if (part.kind !== 'map') continue;
          for (const entry of part.entries) if (!seen.has(entry.key)) entries.push(entry);
          for (const entry of part.entries) seen.add(entry.key);
        }
      }
      made = new Map_({ origin, from, to: this.#trimmed(origin, from, to) }, node.flow === true, entries);
    } else if (isSeq(node)) {
      const items = (node.items as YamlNode[]).map((item) => this.#convert(item, origin, depth + 1));
      const span = { origin, from, to: this.#trimmed(origin, from, to) };
      const list: ListNode<unknown> = {
        kind: 'list',
        flow: node.flow === true,
        bad: false,
        span,
        items: items as never,
      };
      made = list;
    } else {
      made = scalar(isScalar(node) ? node.value : null, { origin, from, to });
    }
    this.#weights.set(made, this.#nodes - before);
    const anchor = (node as { anchor?: string }).anchor;
    if (anchor !== undefined) this.#anchors.set(anchor, made);
    return made;
  }

  /** Block collections end where their last value ends, not after the blank lines that follow. */
  #trimmed(origin: Origin, from: number, to: number): number {
    let end = origin.base + to;
    while (end > origin.base + from && /\s/.test(this.text[end - 1]!)) end--;
    return end - origin.base;
  }

  #twice(key: string, span: Span): void {
    const message = `\`${key}\` stands twice here; only the first is read. Remove one, or merge the two.`;
    this.#report('key-twice', span, message);
  }

  #report(kind: Problem['kind'], span: Span, message: string): void {
    const section = this.#section === undefined ? {} : { section: this.#section, contained: this.#contained };
    this.#problems.push({ kind, span, message, ...section });
  }
}

const explained: Readonly<Record<string, string>> = {
  TAB_AS_INDENT: 'YAML indents with spaces; this line has a tab. Replace it with two spaces.',
  BAD_INDENT: 'This line is not indented like its neighbours. Line it up with the entries it belongs to.',
  MISSING_CHAR: 'Something is not closed here: a quote, a bracket `]` or a brace `}` is missing.',
  BAD_ALIAS: 'This alias points at an anchor that does not exist above it.',
  MULTIPLE_DOCS: 'A file holds one document; remove the `---` line, or move the rest to a file of its own.',
  UNEXPECTED_TOKEN: 'This is not where YAML expects it. Check the quotes, brackets and colons just before.',
  BLOCK_AS_IMPLICIT_KEY: 'A colon followed by a space is read as a key here. Put the text in quotes.',
  MULTILINE_IMPLICIT_KEY:
    'A key must stand on one line, followed by a colon. Is a colon missing at the end of it?',
  BAD_DQ_ESCAPE: 'A backslash in double quotes must be doubled, or use single quotes.',
};

function plainYamlError(code: string, message: string): string {
  const unclosed = code === 'BAD_INDENT' && /flow/i.test(message);
  const plain =
    explained[unclosed ? 'MISSING_CHAR' : code] ?? `${message.split('\n')[0]}.`.replace(/\.\.$/, '.');
  return `${plain} Until then this entry cannot be checked.`;
}
