import { check } from '../../server/src/features/check.ts';
import type { Diagnosis, Settings } from '../../server/src/features/check.ts';
import type { Workspace } from '../../server/src/workspace/workspace.ts';

/**
 * A fixture marks the findings it expects at the end of the line they stand on: `# <- bare-connector, id-twice`.
 * The marks are YAML comments, so the text is checked exactly as it stands.
 */
export function marksIn(text: string): string[] {
  return text.split('\n').flatMap((line, index) => {
    const marks = /# <- (.*)$/.exec(line)?.[1];
    return marks ? marks.split(',').map((mark) => `${index + 1} ${mark.trim()}`) : [];
  });
}

/** What is found in a file, written as the marks are. */
export function foundIn(
  workspace: Workspace,
  uri: string,
  settings: Settings,
  only?: ReadonlySet<string>,
): string[] {
  return check(workspace, uri, settings)
    .filter(({ finding }) => !only || only.has(finding))
    .map((diagnosis) => `${lineOf(workspace, diagnosis)} ${diagnosis.finding}`);
}

const lineOf = (workspace: Workspace, { range }: Diagnosis): number =>
  workspace.lines(range.uri)!.positionAt(range.start).line + 1;
