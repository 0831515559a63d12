import { TextEdit } from 'vscode-languageserver';
import { format } from '../features/format.ts';
import type { Capability } from './capability.ts';
import { toRange } from './convert.ts';
import { canonicalUri } from './documents.ts';
import { requestHandler } from './guard.ts';

/** Blanks at line ends and the end of the file; nothing that anyone wrote. */
export const formattingCapability: Capability = {
  announce: () => ({ documentFormattingProvider: true }),
  register(session) {
    session.connection.onDocumentFormatting(
      requestHandler(
        session,
        'formatting',
        (): TextEdit[] => [],
        ({ textDocument }) =>
          format(session.workspace, canonicalUri(textDocument.uri)).flatMap((edit) => {
            const range = toRange(session, edit);
            return range ? [TextEdit.replace(range, edit.text)] : [];
          }),
      ),
    );
  },
};
