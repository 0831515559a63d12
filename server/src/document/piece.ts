import { isAlias, isMap, isScalar, isSeq } from 'yaml';
import type { Node as YamlNode, Scalar } from 'yaml';
import { own } from '../base/collections.ts';
import { say } from '../language/phrase.ts';
import type { Phrase } from '../language/phrase.ts';
import { LocatedEntry, LocatedMap, list, scalar, trimmed } from './located.ts';
import type { AnyMap } from './located.ts';
import type { AnyNode, Entry } from './node.ts';
import { parsePlain } from './plain.ts';
import { recoverEntry, surplusDash } from './recover.ts';
import type { Rope } from '../text/rope.ts';
import type { Piece } from './split.ts';
import type { Origin, Span } from '../text/span.ts';
import { compose } from './yaml.ts';

export { LocatedEntry, LocatedMap, list, scalar };
export type { AnyMap };

/** A problem with the text itself, found before schema validation. */
export interface SyntaxProblem {
  readonly kind: 'not-yaml' | 'key-twice' | 'too-large';
  readonly span: Span;
  readonly message: Phrase;
  /** The top-level section it damages; undefined when it damages the whole file. */
  readonly section?: string;
  /** The damage is confined to one item of the section's list. */
  readonly contained?: boolean;
}

/**
 * A text beyond these limits gets a `too-large` finding; parsing or checking it could take minutes. Units: UTF-16 code
 * units; nodes; levels; problems.
 */
export const limits = {
  text: 4_000_000,
  nodes: 400_000,
  depth: 60,
  problems: 20,
  /** Words and signs of a part that the library reads in one go. */
  words: 400_000,
  /** Entries of one list. */
  entries: 10_000,
} as const;

const tooMuch = say`Plugward reads up to ${limits.nodes} values, nested up to ${limits.depth} deep.`;

export const tooMany = say`Plugward reads up to ${limits.entries} entries of a list; from here on they are not checked. Split the list.`;
const tooLong = say`This part can only be read as a whole, and has more than ${limits.words} words and signs. Write each entry of a list on one line, as in \`- { id: op10, … }\`, and what repeats without anchors.`;

const notMerged = say`\`<<\` takes over the keys of a group, and this is none, so nothing of it is read. Write the key that is meant.`;

/**
 * A parsed piece. Valid as long as its own text is unchanged; when the piece moves, only `origin.base`
 * changes.
 */
export interface ParsedPiece extends Piece {
  start: number;
  end: number;
  readonly origin: Origin;
  /** The top-level section that contains it. */
  readonly section: string | undefined;
  readonly top: AnyNode | undefined;
  readonly problems: readonly SyntaxProblem[];
  /** Number of values, counting every alias expansion. */
  readonly nodeCount: number;
}

/** Parses one piece. Never throws. `nodesBefore`: values already parsed, counted against `limits.nodes`. */
export function parsePiece(
  uri: string,
  text: Rope,
  { start, end }: Piece,
  damages: Pick<SyntaxProblem, 'section' | 'contained'>,
  nodesBefore: number,
): ParsedPiece {
  const origin: Origin = { uri, base: start };
  const source = ownCopy(text.slice(start, end));
  const { top, problems, nodeCount } =
    withoutSurplusDash(source, origin, damages, nodesBefore) ??
    parsePlain(source, origin, { ...limits, nodes: limits.nodes - nodesBefore }) ??
    recovered(source, origin, parseWithLibrary(source, origin, damages, nodesBefore));
  return { start, end, origin, section: damages.section, top, problems, nodeCount };
}

/**
 * Parses one item of a top-level list. A syntax error is confined to the item, which is marked
 * `partlyParsed`.
 */
export function parseItem(
  uri: string,
  text: Rope,
  piece: Piece,
  section: string,
  spent: number,
): ParsedPiece {
  const read = parsePiece(uri, text, piece, { section, contained: true }, spent);
  if (read.problems.length > 0 && read.top?.kind === 'list') {
    for (const item of read.top.items as readonly AnyNode[]) item.partlyParsed = true;
  }
  return read;
}

/**
 * Anchors and aliases can link pieces. A false match on `&` or `*` in prose only disables incremental
 * parsing.
 */
const ANCHOR = /(?:^|[\s,[{:-])[&*][^\s,[\]{}]/m;
export const hasAnchor = (source: string): boolean => ANCHOR.test(source);

/** Forces a flat copy: a V8 slice would keep the whole source text alive. */
const ownCopy = (slice: string): string => `\n${slice}`.slice(1);

type Read = Pick<ParsedPiece, 'top' | 'problems' | 'nodeCount'>;

/** An entry that begins with more than one dash, which is a list in a list to the library. */
function withoutSurplusDash(
  source: string,
  origin: Origin,
  damages: Pick<SyntaxProblem, 'section' | 'contained'>,
  nodesBefore: number,
): Read | undefined {
  const dash = damages.contained ? surplusDash(source) : undefined;
  if (dash === undefined) return undefined;
  const found =
    recoverEntry(source, origin) ?? unwrapped(parseWithLibrary(source, origin, damages, nodesBefore));
  if (!found) return undefined;
  const span = { origin, from: dash, to: dash + 1 };
  const message = say`An entry begins with one dash, and this one has another. Remove it; until then this entry cannot be checked.`;
  return {
    top: found.top,
    problems: [{ kind: 'not-yaml', span, message, ...damages }],
    nodeCount: found.nodeCount,
  };
}

/** The only entry of a list in a list. */
function unwrapped({ top, problems, nodeCount }: Read): Pick<Read, 'top' | 'nodeCount'> | undefined {
  if (problems.length > 0 || top?.kind !== 'list') return undefined;
  let node: AnyNode = top;
  while (node.kind === 'list' && node.items.length === 1) node = node.items[0] as AnyNode;
  if (node.kind !== 'map') return undefined;
  return { top: list([node], false, top.span.origin, top.span.from, top.span.to), nodeCount };
}

/** What the library has read of an entry with a slip, or what can be read around the slip if that is more. */
function recovered(source: string, origin: Origin, read: Read): Read {
  const [slip] = read.problems;
  if (slip?.kind !== 'not-yaml' || !slip.contained) return read;
  const found = recoverEntry(source, origin);
  if (!found || found.keys <= keysRead(read.top)) return read;
  return { top: found.top, problems: [slip], nodeCount: found.nodeCount };
}

/** The number of keys in the only entry of a list. */
function keysRead(top: AnyNode | undefined): number {
  const [entry] = top?.kind === 'list' ? (top.items as readonly AnyNode[]) : [];
  return entry?.kind === 'map' ? entry.entries.length : 0;
}

/** Reads any YAML, by the library. */
export function parseWithLibrary(
  source: string,
  origin: Origin,
  damages: Pick<SyntaxProblem, 'section' | 'contained'>,
  spent: number,
): Read {
  const reader = new PieceReader(source, origin, damages, spent);
  const top = reader.read();
  return { top, problems: reader.problems, nodeCount: reader.nodes - spent };
}

class PieceReader {
  readonly problems: SyntaxProblem[] = [];
  readonly #anchors = new Map<string, AnyNode>();
  readonly #weights = new WeakMap<AnyNode, number>();
  #full = false;
  /** An alias without an anchor is reported already. */
  #brokenAlias = false;

  constructor(
    readonly source: string,
    readonly origin: Origin,
    readonly damages: Pick<SyntaxProblem, 'section' | 'contained'>,
    public nodes: number,
  ) {}

  read(): AnyNode | undefined {
    const { source, origin } = this;
    const composed = compose(source, 4 * limits.depth, limits.words);
    if (!('document' in composed)) {
      const [from, message] =
        'tooDeep' in composed ? [composed.tooDeep, tooMuch] : [composed.tooLong, tooLong];
      this.#report('too-large', { origin, from, to: Math.min(from + 80, source.length) }, message);
      return undefined;
    }
    const { document, slips } = composed;
    // One typo often causes several errors. Report the unclosed bracket or quote if there is one, else the
    // first error.
    this.#brokenAlias = slips.length > 0;
    const slip = slips.find(({ code }) => code === 'MISSING_CHAR') ?? slips[0];
    if (slip) {
      const from = Math.min(slip.pos[0], Math.max(0, source.trimEnd().length - 1));
      const to = Math.max(from + 1, Math.min(slip.pos[1], source.length));
      this.#report(
        'not-yaml',
        { origin, from, to },
        plainYamlError(standsBehindTab(source, from) ? 'TAB_AS_INDENT' : slip.code, slip.message),
      );
    }
    return document.contents ? this.#convert(document.contents as YamlNode, origin, 0) : undefined;
  }

  #convert(node: YamlNode, origin: Origin, depth: number): AnyNode {
    const from = node.range?.[0] ?? 0;
    let to = node.range?.[1] ?? from;
    if (isAlias(node)) {
      const target = this.#anchors.get(node.source);
      const weight = target ? (this.#weights.get(target) ?? 1) : 1;
      if (target && this.nodes + weight <= limits.nodes) {
        this.nodes += weight;
        return target;
      }
      if (target) {
        const span = { origin, from, to };
        const message = say`The alias *${node.source} repeats so much that the plan would exceed ${limits.nodes} values. Write the part out, or repeat less.`;
        this.#report('too-large', span, message);
      } else if (!this.#brokenAlias) {
        // The library resolves it to the value around it; that has no end.
        const message = say`The alias *${node.source} stands inside the part that its anchor names, so it has no value. Write the value out.`;
        this.#report('not-yaml', { origin, from, to }, message);
      }
      return scalar(null, origin, from, to);
    }
    const before = this.nodes++;
    if (depth > limits.depth || this.nodes > limits.nodes) {
      this.#report('too-large', { origin, from, to }, tooMuch);
      return scalar(null, origin, from, to);
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
          this.#report('not-yaml', keySpan, say`A key must be plain text.`);
          continue;
        }
        const name = String(key.value);
        if (key.anchor !== undefined)
          this.#anchors.set(key.anchor, scalar(plainValue(key), origin, keySpan.from, keySpan.to));
        const value = pair.value
          ? this.#convert(pair.value as YamlNode, origin, depth + 1)
          : scalar(null, origin, keySpan.to, keySpan.to);
        to = Math.max(to, keySpan.to);
        if (name === '<<') {
          merged.push(value);
          if (!isMergeable(value)) this.#report('not-yaml', keySpan, notMerged);
        } else if (seen.has(name)) this.#twice(name, keySpan);
        else entries.push(new LocatedEntry(name, value, origin, keySpan.from, keySpan.to));
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
      made = new LocatedMap(entries, node.flow === true, origin, from, trimmed(this.source, from, to));
    } else if (isSeq(node)) {
      const kept = (node.items as YamlNode[]).slice(0, limits.entries);
      const items = kept.map((item) => this.#convert(item, origin, depth + 1));
      const beyond = (node.items as YamlNode[])[limits.entries];
      if (beyond) {
        const [start, end] = beyond.range ?? [from, to];
        this.#report('too-large', { origin, from: start, to: end }, tooMany);
      }
      made = list(items, node.flow === true, origin, from, trimmed(this.source, from, to));
    } else {
      made = scalar(isScalar(node) ? plainValue(node) : null, origin, from, to);
    }
    this.#weights.set(made, this.nodes - before);
    const anchor = (node as { anchor?: string }).anchor;
    if (anchor !== undefined) this.#anchors.set(anchor, made);
    return made;
  }

  #twice(key: string, span: Span): void {
    this.#report('key-twice', span, twice(key));
  }

  #report(kind: SyntaxProblem['kind'], span: Span, message: Phrase): void {
    // Report only the first value beyond the limit.
    if (kind === 'too-large' && this.#full) return;
    this.#full ||= kind === 'too-large';
    this.problems.push({ kind, span, message, ...this.damages });
  }
}

/** Whether a merge key can take something over from it: a group of keys, or a list of such groups. */
const isMergeable = (node: AnyNode): boolean =>
  node.kind === 'map' ||
  (node.kind === 'list' &&
    node.items.length > 0 &&
    (node.items as readonly AnyNode[]).every(({ kind }) => kind === 'map'));

/** Ignores tags such as `!!binary`: plans have neither bytes nor dates, so the source text is the value. */
const plainValue = ({ value, source }: Scalar): unknown =>
  typeof value === 'object' && value !== null ? (source ?? '') : value;

export const twice = (key: string): Phrase =>
  say`\`${key}\` appears twice here; only the first is read. Remove one, or merge the two.`;

const explained: Readonly<Record<string, Phrase>> = {
  TAB_AS_INDENT: say`YAML indents with spaces; this line has a tab. Replace it with spaces, as many as the lines have that it belongs to.`,
  BAD_INDENT: say`This line is not indented like the lines around it. Line it up with the entries it belongs to.`,
  MISSING_CHAR: say`Something is not closed here: a quote, a bracket \`]\` or a brace \`}\` is missing.`,
  BAD_ALIAS: say`This alias points at an anchor that does not exist above it.`,
  MULTIPLE_DOCS: say`A file holds one document; remove the \`---\` line, or move the rest to a file of its own.`,
  UNEXPECTED_TOKEN: say`This is not where YAML expects it. Check the quotes, brackets and colons just before.`,
  BLOCK_AS_IMPLICIT_KEY: say`A colon followed by a space is read as a key here. Put the text in quotes.`,
  MULTILINE_IMPLICIT_KEY: say`A key must be on one line, followed by a colon. Is a colon missing at the end of it?`,
  BAD_DQ_ESCAPE: say`A backslash in double quotes must be doubled, or use single quotes.`,
};

/** Whether a tab indents what stands at an offset, or stands there itself. */
const standsBehindTab = (source: string, at: number): boolean =>
  /^ *\t[ \t]*\S?$/.test(source.slice(source.lastIndexOf('\n', at - 1) + 1, at + 1));

export function plainYamlError(code: string, message = ''): Phrase {
  const unclosed = code === 'BAD_INDENT' && /flow/i.test(message);
  // Rarer errors keep the library's own message, which exists only in English.
  const said = `${message.split('\n')[0]}.`.replace(/\.\.$/, '.');
  return say`${own(explained, unclosed ? 'MISSING_CHAR' : code) ?? said} Until that is corrected, this entry cannot be checked.`;
}
