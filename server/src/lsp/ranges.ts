import type { FoldingRange, SelectionRange } from 'vscode-languageserver';
import { FoldingRangeKind } from 'vscode-languageserver';
import { folds, selectionsAt } from '../features/ranges.ts';
import { requestOffset } from './at.ts';
import type { Capability } from './capability.ts';
import { toRange } from './convert.ts';
import { canonicalUri } from './documents.ts';
import { requestHandler } from './guard.ts';

/** What can be folded, and what a growing selection takes in. */
export const rangesCapability: Capability = {
  announce: () => ({ foldingRangeProvider: true, selectionRangeProvider: true }),
  register(session) {
    const { connection, workspace } = session;
    connection.onFoldingRanges(
      requestHandler(
        session,
        'folding',
        (): FoldingRange[] => [],
        ({ textDocument }) =>
          folds(workspace, canonicalUri(textDocument.uri)).map(({ from, to, comment }) => ({
            startLine: from,
            endLine: to,
            ...(comment ? { kind: FoldingRangeKind.Comment } : {}),
          })),
      ),
    );
    connection.onSelectionRanges(
      requestHandler(
        session,
        'selection',
        (): SelectionRange[] => [],
        ({ textDocument, positions }) =>
          positions.map((position): SelectionRange => {
            const place = requestOffset(session, { textDocument, position });
            const found = place ? selectionsAt(workspace, place.key, place.offset) : [];
            // The protocol wants an answer for every position, each range with the one around it.
            const empty: SelectionRange = { range: { start: position, end: position } };
            return (
              found.reduceRight<SelectionRange | undefined>((parent, one) => {
                const range = toRange(session, one);
                return range ? { range, ...(parent ? { parent } : {}) } : parent;
              }, undefined) ?? empty
            );
          }),
      ),
    );
  },
};
