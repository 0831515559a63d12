import type { Workspace } from '../../server/src/workspace/workspace.ts';
import { workspaceOf } from './files.ts';

/** The cursor in a fixture; it is taken out before the text is read. */
const mark = '▮';

export interface Opened {
  readonly workspace: Workspace;
  readonly uri: string;
  readonly offset: number;
  readonly text: string;
}

/** Opens files of which one holds the cursor. */
export function openAt(files: Readonly<Record<string, string>>): Opened {
  const [name, marked] = Object.entries(files).find(([, text]) => text.includes(mark)) ?? [];
  if (name === undefined || marked === undefined) throw new Error('no file holds the cursor');
  const offset = marked.indexOf(mark);
  const text = marked.replace(mark, '');
  return { workspace: workspaceOf({ ...files, [name]: text }), uri: `file:///plans/${name}`, offset, text };
}

/** The text of a range, with the name of its file when it is another one: `list.connector-list.yaml:3 inverter-dc`. */
export function placed(
  workspace: Workspace,
  { uri, start, end }: { uri: string; start: number; end: number },
): string {
  const { line } = workspace.lines(uri)!.positionAt(start);
  return `${uri.slice(uri.lastIndexOf('/') + 1).split('.')[0]!}:${line + 1} ${workspace.text(uri)!.slice(start, end)}`;
}
