import type { Document } from '../../document/document.ts';
import type { Kind } from '../../document/kind.ts';
import type { Language } from '../../language/language.ts';
import type { Value } from '../../language/phrase.ts';
import type { Plan } from '../../plan/plan.ts';
import type { SymbolKind } from '../../plan/symbols.ts';
import type { Workspace } from '../../workspace/workspace.ts';
import type { Cursor } from '../cursor.ts';

/** Where something is written, and what is known there. */
export interface Place {
  readonly workspace: Workspace;
  readonly plan: Plan;
  readonly document: Document;
  readonly cursor: Cursor;
  readonly today: string | undefined;
  readonly language: Language | undefined;
}

/** What may be written there, before it is put into words and edits. */
export interface Candidate {
  readonly label: string;
  readonly text?: string;
  readonly kind?: 'key' | 'choice' | 'name' | 'unit' | 'steps' | 'file' | 'text';
  readonly symbol?: SymbolKind;
  readonly detail?: Value | undefined;
  readonly documentation?: () => Value | undefined;
  readonly snippet?: boolean;
  readonly filter?: string;
  readonly opens?: boolean;
  readonly starts?: Kind;
}
