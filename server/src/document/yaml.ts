import { Composer, Lexer, Parser } from 'yaml';
import type { CST, Document, ErrorCode } from 'yaml';

/** What the library found wrong, in offsets of the source. */
interface YamlError {
  readonly code: ErrorCode;
  readonly message: string;
  readonly pos: readonly [number, number];
}

/** Either the composed document with its errors, or the offset at which it is nested too deep or becomes too long. */
export type Composed =
  | { readonly document: Document; readonly slips: readonly YamlError[] }
  | { readonly tooDeep: number }
  | { readonly tooLong: number };

const options = {
  version: '1.2',
  uniqueKeys: false,
  prettyErrors: false,
  logLevel: 'error',
} as const;

const severalDocuments = 'Source contains multiple documents';

/**
 * Composes the YAML 1.2 document of a source. The library parses without recursion and composes with it: what is
 * nested deeper than `depth` is not composed, so that no source exhausts the stack. Each word and sign costs it some
 * hundred bytes and two microseconds: a source of more than `max` is not read to its end.
 */
export function compose(source: string, depth: number, max: number): Composed {
  const parser = new Parser();
  const tokens: CST.Token[] = [];
  let count = 0;
  for (const lexeme of new Lexer().lex(source)) {
    if (++count > max) return { tooLong: parser.offset };
    for (const token of parser.next(lexeme)) tokens.push(token);
  }
  for (const token of parser.end()) tokens.push(token);
  const tooDeep = deeperThan(tokens, depth);
  if (tooDeep !== undefined) return { tooDeep };
  // Disable stack traces: capturing one for each of thousands of errors would dominate the run time.
  const { stackTraceLimit } = Error;
  Error.stackTraceLimit = 0;
  try {
    const [document, another] = new Composer(options).compose(tokens, true, source.length);
    const slips: YamlError[] = [...document!.errors];
    if (another) {
      const [from, to] = another.range;
      slips.push({ code: 'MULTIPLE_DOCS', message: severalDocuments, pos: [from, to] });
    }
    return { document: document!, slips };
  } finally {
    Error.stackTraceLimit = stackTraceLimit;
  }
}

/** Offset of a collection nested inside `depth` others, if there is one. */
function deeperThan(tokens: readonly CST.Token[], depth: number): number | undefined {
  const open: (readonly [token: CST.Token, level: number])[] = tokens.map((token) => [token, 0]);
  for (let next = open.pop(); next; next = open.pop()) {
    const [token, level] = next;
    if (token.type === 'document') {
      if (token.value) open.push([token.value, level]);
    } else if ('items' in token) {
      if (level >= depth) return token.offset;
      for (const { key, value } of token.items) {
        if (key) open.push([key, level + 1]);
        if (value) open.push([value, level + 1]);
      }
    }
  }
  return undefined;
}
