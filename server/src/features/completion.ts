import type { Kind } from '../document/kind.ts';
import type { Edit } from '../text/span.ts';
import { languageOf } from '../language/language.ts';
import type { Language } from '../language/language.ts';
import { inLanguage } from '../language/phrase.ts';
import type { Value } from '../language/phrase.ts';
import type { SymbolKind } from '../plan/symbols.ts';
import type { Workspace } from '../workspace/workspace.ts';
import type { Settings } from './check.ts';
import { cursorAt } from './cursor.ts';
import type { Candidate, Place } from './completion/candidate.ts';
import { keysAt, newItems, stepsAt } from './completion/keys.ts';
import { fillingsOf, valuesAt } from './completion/values.ts';
import { isSubsequence } from './outline.ts';
import { allows, schemaAt } from './schema.ts';

export interface Completion {
  readonly label: string;
  readonly kind: 'key' | 'choice' | 'name' | 'unit' | 'steps' | 'file' | 'text';
  /** Of a name. */
  readonly symbol?: SymbolKind;
  readonly detail?: string;
  /** Markdown, computed on demand. */
  readonly documentation?: () => string | undefined;
  readonly edit: Edit;
  /** The text of the edit has places to fill in, written as in TextMate snippets. */
  readonly snippet: boolean;
  /** What the typed text is compared with. */
  readonly filter: string;
  /** Something can be proposed at the place to which it leads. */
  readonly opens: boolean;
  /** It writes nothing, and starts a new file of this kind instead. */
  readonly starts?: Kind;
}

export interface Completions {
  /** Best first. */
  readonly items: readonly Completion[];
  /** More would match as more is typed. */
  readonly incomplete: boolean;
}

/** Maximum number of items sent; typing more narrows them down. */
const maxItems = 300;

/** What may be written at `offset`. Never throws on half-typed text. */
export function complete(
  workspace: Workspace,
  uri: string,
  offset: number,
  settings: Settings = {},
): Completions {
  const plan = workspace.plan(uri);
  const text = workspace.text(uri);
  const cursor = text === undefined ? undefined : cursorAt(text, offset);
  if (!plan || !cursor) return { items: [], incomplete: false };
  const place: Place = {
    workspace,
    plan,
    document: plan.document,
    cursor,
    today: settings.today,
    language: languageOf(settings.language),
  };
  const items = matching(candidatesAt(place), cursor.typed).map((candidate) =>
    toCompletion(place, candidate),
  );
  return { items: items.slice(0, maxItems), incomplete: items.length > maxItems };
}

/** Matches as a subsequence, as editors do; only needed if there are too many candidates to send. */
function matching(candidates: readonly Candidate[], text: string): readonly Candidate[] {
  if (candidates.length <= maxItems) return candidates;
  const typed = text.toLowerCase();
  return candidates.filter(({ label, filter }) => isSubsequence(typed, (filter ?? label).toLowerCase()));
}

function toCompletion(place: Place, candidate: Candidate): Completion {
  const { start, end } = place.cursor;
  const { label, kind = 'choice', symbol, detail, documentation } = candidate;
  return {
    label,
    kind,
    ...(symbol ? { symbol } : {}),
    ...(detail === undefined ? {} : { detail: inLanguage(detail, place.language) }),
    ...(documentation ? { documentation: () => inWords(documentation(), place.language) } : {}),
    edit: { uri: place.document.uri, start, end, text: candidate.text ?? label },
    snippet: candidate.snippet ?? false,
    filter: candidate.filter ?? label,
    opens: candidate.opens ?? false,
    ...(candidate.starts ? { starts: candidate.starts } : {}),
  };
}

const inWords = (value: Value | undefined, language: Language | undefined): string | undefined =>
  value === undefined ? undefined : inLanguage(value, language);

function candidatesAt(place: Place): Candidate[] {
  const { cursor } = place;
  const { path, shape } = cursor;
  const [section, , key, parameter] = path;
  if (section === 'operations' && key === 'with' && parameter !== undefined)
    return fillingsOf(place, parameter);
  const schema = schemaAt(place.document.kind, path);
  if (!schema) return [];
  if (shape === 'entry') return keysAt(place, path, schema);
  if (shape === 'item') {
    if (allows(schema, 'object')) return [...stepsAt(place, path, ''), ...keysAt(place, path, schema)];
    return valuesAt(place, path, schema);
  }
  if (shape === 'below') {
    if (allows(schema, 'object')) return keysAt(place, path, schema);
    if (allows(schema, 'array')) return newItems(place, path);
    return valuesAt(place, path, schema);
  }
  return valuesAt(place, path, schema);
}
