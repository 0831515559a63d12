import type { Location, Position, TextDocumentIdentifier } from 'vscode-languageserver';
import type { Range } from '../text/span.ts';
import type { Context } from './context.ts';
import { toRange } from './convert.ts';
import { canonicalUri } from './documents.ts';

/** A file's key and an offset in its text. */
export interface DocumentOffset {
  readonly key: string;
  readonly offset: number;
}

/** Where a request points; undefined for a file that is not held. */
export function requestOffset(
  context: Context,
  { textDocument, position }: { textDocument: TextDocumentIdentifier; position: Position },
): DocumentOffset | undefined {
  const key = canonicalUri(textDocument.uri);
  const offset = context.workspace.lines(key)?.offsetAt(position);
  return offset === undefined ? undefined : { key, offset };
}

/** Places in the client's terms; what the workspace does not hold any more is left out. */
export function toLocations(context: Context, ranges: readonly Range[]): Location[] {
  return ranges.flatMap((one) => {
    const range = toRange(context, one);
    return range ? [{ uri: context.documents.clientUri(one.uri), range }] : [];
  });
}
