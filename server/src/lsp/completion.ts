import type { CompletionItem, CompletionList } from 'vscode-languageserver';
import {
  CompletionItemKind,
  CompletionTriggerKind,
  InsertTextFormat,
  InsertTextMode,
} from 'vscode-languageserver';
import { complete } from '../features/completion.ts';
import type { Completion, Completions } from '../features/completion.ts';
import { plainText } from '../features/snippets.ts';
import type { SymbolKind } from '../plan/symbols.ts';
import type { Edit } from '../text/span.ts';
import { requestOffset } from './at.ts';
import type { DocumentOffset } from './at.ts';
import type { Capability } from './capability.ts';
import { toRange } from './convert.ts';
import { requestHandler, sharedRequestHandler } from './guard.ts';
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
  announce: (client) => ({
    completionProvider: {
      triggerCharacters: [' ', '[', '{', ',', '$'],
      ...(client.resolvesCompletion ? { resolveProvider: true } : {}),
    },
  }),
  register(session) {
    const { resolvesCompletion } = session.client;
    const at = ({ key, offset }: DocumentOffset): Completions =>
      complete(session.workspace, key, offset, session.settings.current);
    /** Where something was proposed last. */
    let last: DocumentOffset | undefined;
    session.connection.onCompletion(
      // Files that could be used are proposed too.
      sharedRequestHandler(
        session,
        'completion',
        (): CompletionList => ({ isIncomplete: false, items: [] }),
        (params) => {
          const place = requestOffset(session, params);
          if (!place) return { isIncomplete: false, items: [] };
          last = place;
          const { items: all, incomplete } = at(place);
          const items = all.filter(({ starts }) => !starts || session.client.opensCompletions);
          const order = String(items.length).length;
          const opened = params.context?.triggerKind === CompletionTriggerKind.TriggerCharacter;
          return {
            // A client may select nothing in a list that a character opened, so that Enter takes nothing unasked. It asks
            // again at the next letter, and that list has a selection, even if this one arrives after the letter.
            isIncomplete: incomplete || opened,
            items: items.map((item, i) => ({
              ...toItem(session, item, String(i).padStart(order, '0'), place.offset),
              ...(resolvesCompletion ? {} : documented(session, item)),
            })),
          };
        },
      ),
    );
    if (!resolvesCompletion) return;
    session.connection.onCompletionResolve(
      requestHandler(
        session,
        'completion',
        (item: CompletionItem): CompletionItem => item,
        (item) => {
          const found =
            last &&
            at(last).items.find(
              (completion) => completion.label === item.label && kindOf(completion) === item.kind,
            );
          return { ...item, ...(found ? documented(session, found) : {}) };
        },
      ),
    );
  },
};

const kindOf = ({ symbol, kind }: Completion): CompletionItemKind =>
  (symbol && kindsOfNames[symbol]) ?? kinds[kind];

function documented({ client }: Session, item: Completion): Pick<CompletionItem, 'documentation'> {
  const value = item.documentation?.();
  if (value === undefined) return {};
  return { documentation: { kind: client.markdownCompletion ? 'markdown' : 'plaintext', value } };
}

/** What the editor does once a proposal is taken: proposes what comes next, or starts a file. */
function commandOf({ client }: Session, { opens, starts }: Completion): Pick<CompletionItem, 'command'> {
  if (!client.opensCompletions) return {};
  if (starts) return { command: { title: '', command: 'plugward.new', arguments: [starts] } };
  return opens ? { command: { title: '', command: 'editor.action.triggerSuggest' } } : {};
}

/** @param offset of the cursor */
function toItem(session: Session, item: Completion, sortText: string, offset: number): CompletionItem {
  const { client } = session;
  const asSnippet = item.snippet && client.completesSnippets;
  const newText = item.snippet && !asSnippet ? plainText(item.edit.text) : item.edit.text;
  return {
    label: item.label,
    kind: kindOf(item),
    ...(item.detail ? { detail: item.detail } : {}),
    ...(item.detail && client.labelDetails ? { labelDetails: { description: item.detail } } : {}),
    ...textEditOf(session, item.edit, newText, offset),
    ...(asSnippet ? { insertTextFormat: InsertTextFormat.Snippet } : {}),
    // Steps of several lines carry their own indentation.
    ...(newText.includes('\n') ? { insertTextMode: InsertTextMode.asIs } : {}),
    filterText: item.filter,
    ...commandOf(session, item),
    sortText,
  };
}

/** Where the cursor stands inside a word, the client may keep what follows it or replace the whole word. */
function textEditOf(
  session: Session,
  edit: Edit,
  newText: string,
  offset: number,
): Pick<CompletionItem, 'textEdit' | 'insertText'> {
  const range = toRange(session, edit);
  if (!range) return { insertText: newText };
  const insert = offset < edit.end ? toRange(session, { ...edit, end: offset }) : undefined;
  return session.client.insertsOrReplaces && insert
    ? { textEdit: { newText, insert, replace: range } }
    : { textEdit: { newText, range } };
}
