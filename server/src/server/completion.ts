import type { CompletionItem, CompletionList, MarkupContent } from 'vscode-languageserver';
import { CompletionItemKind, InsertTextFormat, InsertTextMode } from 'vscode-languageserver';
import { complete } from '../features/completion.ts';
import type { Completion } from '../features/completion.ts';
import { plainText } from '../features/snippets.ts';
import type { SymbolKind } from '../plan/symbols.ts';
import { placeOf } from './at.ts';
import type { Capability } from './capability.ts';
import { toRange } from './convert.ts';
import { answeringFromAll } from './guard.ts';
import type { Session } from './session.ts';

const kinds: Readonly<Record<Completion['kind'], CompletionItemKind>> = {
  key: CompletionItemKind.Property,
  choice: CompletionItemKind.EnumMember,
  name: CompletionItemKind.Reference,
  unit: CompletionItemKind.Unit,
  steps: CompletionItemKind.Snippet,
  file: CompletionItemKind.File,
  text: CompletionItemKind.Value,
};
const kindsOfNames: Readonly<Partial<Record<SymbolKind, CompletionItemKind>>> = {
  connector: CompletionItemKind.Interface,
  operation: CompletionItemKind.Event,
  task: CompletionItemKind.Function,
  procedure: CompletionItemKind.Module,
  parameter: CompletionItemKind.Variable,
};

export const completionCapability: Capability = {
  announce: () => ({
    completionProvider: { triggerCharacters: [' ', '[', '{', ',', '$'], resolveProvider: false },
  }),
  register(session) {
    session.connection.onCompletion(
      // Files that could be used are proposed too.
      answeringFromAll(
        session,
        'completion',
        (): CompletionList => ({ isIncomplete: false, items: [] }),
        (params) => {
          const place = placeOf(session, params);
          if (!place) return { isIncomplete: false, items: [] };
          const { items, incomplete } = complete(
            session.workspace,
            place.key,
            place.offset,
            session.settings.current,
          );
          const order = String(items.length).length;
          return {
            isIncomplete: incomplete,
            items: items.map((item, i) => toItem(session, item, String(i).padStart(order, '0'))),
          };
        },
      ),
    );
  },
};

function toItem(session: Session, item: Completion, sortText: string): CompletionItem {
  const { client } = session;
  const asSnippet = item.snippet && client.completesSnippets;
  const newText = item.snippet && !asSnippet ? plainText(item.edit.text) : item.edit.text;
  const range = toRange(session, item.edit);
  const words = item.documentation?.();
  const documentation: MarkupContent | undefined =
    words === undefined
      ? undefined
      : { kind: client.markdownCompletion ? 'markdown' : 'plaintext', value: words };
  return {
    label: item.label,
    kind: (item.symbol && kindsOfNames[item.symbol]) ?? kinds[item.kind],
    ...(item.detail ? { detail: item.detail } : {}),
    ...(documentation ? { documentation } : {}),
    ...(range ? { textEdit: { range, newText } } : { insertText: newText }),
    ...(asSnippet ? { insertTextFormat: InsertTextFormat.Snippet } : {}),
    // Steps of several lines carry their own indentation.
    ...(newText.includes('\n') ? { insertTextMode: InsertTextMode.asIs } : {}),
    filterText: item.filter,
    sortText,
  };
}
