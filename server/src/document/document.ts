import type { ConnectorList } from '../generated/connector-list.ts';
import type { RateSheet } from '../generated/rate-sheet.ts';
import type { RepairPlan } from '../generated/repair-plan.ts';
import type { ShopProcedure } from '../generated/shop-procedure.ts';
import type { Kind } from './kind.ts';
import { LineIndex } from '../text/line-index.ts';
import { mistakeLimit, validateAndMark } from './validate.ts';
import type { SchemaViolation } from './validate.ts';
import type { Located } from './node.ts';
import { parse } from './parse.ts';
import type { ParseResult, SyntaxProblem } from './parse.ts';
import type { Rope } from '../text/rope.ts';

interface Roots {
  'repair-plan': RepairPlan;
  'shop-procedure': ShopProcedure;
  'connector-list': ConnectorList;
  'rate-sheet': RateSheet;
}

/** A parsed and validated text. Values that the schema rejected are marked `rejectedBySchema` and read as absent. */
export interface Document<K extends Kind = Kind> {
  readonly uri: string;
  readonly kind: K;
  /** The whole text, joined on first access. Use `slice` to read part of it. */
  readonly text: string;
  /** The characters of `[start, end)`. */
  slice(start: number, end: number): string;
  readonly lines: LineIndex;
  readonly root: Located<Roots[K]> | undefined;
  readonly problems: readonly SyntaxProblem[];
  /**
   * At most the first `mistakeLimit` violations. Values rejected by the others are still marked
   * `rejectedBySchema`.
   */
  readonly mistakes: readonly SchemaViolation[];
  /** The first violation beyond `mistakeLimit`, if any. */
  readonly nextMistake: SchemaViolation | undefined;
  /** The parse state needed to reparse incrementally, including the text as a rope. */
  readonly parsed: ParseResult;
}

/**
 * Reads a text of a known kind. Never throws. With `earlier`, the document of an earlier text of the same
 * file, only what changed is read again; `earlier` must not be used afterwards. Where nothing but prose,
 * comments and white space changed within one section, returns `earlier` itself with its new text, so results
 * cached on it stay valid.
 */
export function readDocument<K extends Kind>(
  uri: string,
  kind: K,
  text: string | Rope,
  earlier?: Document,
): Document<K> {
  const known = earlier?.kind === kind ? (earlier as ParsedDocument<K>) : undefined;
  const parsed = parse(uri, text, known?.parsed);
  if (known && parsed.root && parsed.root === known.parsed.root) return known.with(parsed);
  return new ParsedDocument(uri, kind, parsed, known);
}

class ParsedDocument<K extends Kind> implements Document<K> {
  readonly root: Located<Roots[K]> | undefined;
  readonly problems: readonly SyntaxProblem[];
  readonly mistakes: readonly SchemaViolation[];
  readonly nextMistake: SchemaViolation | undefined;
  #lines: LineIndex | undefined;

  constructor(
    readonly uri: string,
    readonly kind: K,
    public parsed: ParseResult,
    earlier?: ParsedDocument<K>,
  ) {
    const { root, problems } = parsed;
    this.#lines = earlier && earlier.#linesOf(parsed);
    this.root = root as Located<Roots[K]> | undefined;
    this.problems = problems;
    const mistakes = root ? validateAndMark(kind, root) : [];
    this.mistakes = mistakes.slice(0, mistakeLimit);
    this.nextMistake = mistakes[mistakeLimit];
  }

  get text(): string {
    return String(this.parsed.text);
  }

  slice(start: number, end: number): string {
    return this.parsed.text.slice(start, end);
  }

  get lines(): LineIndex {
    return (this.#lines ??= new LineIndex(this.parsed.text));
  }

  /** Replaces this document's text by an equivalent one, in place. */
  with(parsed: ParseResult): this {
    this.parsed = parsed;
    this.#lines = this.#linesOf(parsed);
    return this;
  }

  /** Derives the line index of a later text from this one, if this one has been built. */
  #linesOf({ text, change }: ParseResult): LineIndex | undefined {
    const before = this.#lines;
    return before && change && new LineIndex(text, { before, change });
  }
}
