import type { Range, SemanticTokens, SemanticTokensDelta, SemanticTokensEdit } from 'vscode-languageserver';
import { SemanticTokenModifiers, SemanticTokenTypes } from 'vscode-languageserver';
import { tokensIn } from '../features/tokens.ts';
import type { TokenKind } from '../features/tokens.ts';
import type { Capability } from './capability.ts';
import { canonicalUri } from './documents.ts';
import { requestHandler } from './guard.ts';
import type { Session } from './session.ts';

/** In the protocol's own words, for which every colour theme has a colour. */
const types: Readonly<Record<TokenKind, SemanticTokenTypes>> = {
  task: SemanticTokenTypes.function,
  connector: SemanticTokenTypes.interface,
  operation: SemanticTokenTypes.event,
  zone: SemanticTokenTypes.namespace,
  consumable: SemanticTokenTypes.class,
  procedure: SemanticTokenTypes.method,
  parameter: SemanticTokenTypes.parameter,
  source: SemanticTokenTypes.property,
  rate: SemanticTokenTypes.property,
  finding: SemanticTokenTypes.macro,
  quantity: SemanticTokenTypes.number,
};
const legend = [...new Set(Object.values(types))];

export const semanticTokensCapability: Capability = {
  announce: () => ({
    semanticTokensProvider: {
      legend: { tokenTypes: legend, tokenModifiers: [SemanticTokenModifiers.definition] },
      full: { delta: true },
      range: true,
    },
  }),
  register(session) {
    const { semanticTokens } = session.connection.languages;
    const sent = new SentTokens();
    const none = (): SemanticTokens => ({ data: [] });
    semanticTokens.on(
      requestHandler(session, 'tokens', none, ({ textDocument }) => {
        const key = canonicalUri(textDocument.uri);
        return sent.full(session, key, encoded(session, key));
      }),
    );
    semanticTokens.onDelta(
      requestHandler(
        session,
        'tokens',
        (): SemanticTokens | SemanticTokensDelta => none(),
        ({ textDocument, previousResultId }) => {
          const key = canonicalUri(textDocument.uri);
          return sent.delta(session, key, previousResultId, encoded(session, key));
        },
      ),
    );
    semanticTokens.onRange(
      requestHandler(session, 'tokens', none, ({ textDocument, range }) => ({
        data: encoded(session, canonicalUri(textDocument.uri), range),
      })),
    );
  },
};

/** The tokens of a file, five numbers each, positions relative to the token before. */
function encoded({ workspace }: Session, key: string, range?: Range): number[] {
  const lines = workspace.lines(key);
  if (!lines) return [];
  const within = range && { start: lines.offsetAt(range.start), end: lines.offsetAt(range.end) };
  const data: number[] = [];
  let before = { line: 0, character: 0 };
  for (const { start, end, kind, defines } of tokensIn(workspace, key, within)) {
    const at = lines.positionAt(start);
    const sameLine = at.line === before.line;
    const character = sameLine ? at.character - before.character : at.character;
    data.push(at.line - before.line, character, end - start, legend.indexOf(types[kind]), defines ? 1 : 0);
    before = at;
  }
  return data;
}

/** What was last sent of each open file, against which a client may ask for the difference. */
class SentTokens {
  readonly #last = new Map<string, { readonly resultId: string; readonly data: number[] }>();
  #count = 0;

  full(session: Session, key: string, data: number[]): SemanticTokens {
    for (const one of this.#last.keys()) if (!session.documents.get(one)) this.#last.delete(one);
    if (!session.documents.get(key)) return { data };
    const result = { resultId: String(++this.#count), data };
    this.#last.set(key, result);
    return result;
  }

  delta(
    session: Session,
    key: string,
    previous: string,
    data: number[],
  ): SemanticTokens | SemanticTokensDelta {
    const before = this.#last.get(key);
    const now = this.full(session, key, data);
    if (before?.resultId !== previous || now.resultId === undefined) return now;
    return { resultId: now.resultId, edits: difference(before.data, data) };
  }
}

/** One edit that replaces what lies between the longest common beginning and end; none between equal lists. */
function difference(before: readonly number[], now: readonly number[]): SemanticTokensEdit[] {
  const max = Math.min(before.length, now.length);
  let start = 0;
  while (start < max && before[start] === now[start]) start++;
  let end = 0;
  while (end < max - start && before.at(-1 - end) === now.at(-1 - end)) end++;
  const deleteCount = before.length - start - end;
  const data = now.slice(start, now.length - end);
  return deleteCount === 0 && data.length === 0 ? [] : [{ start, deleteCount, data }];
}
