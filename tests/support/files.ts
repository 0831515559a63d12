import { readFileSync, readdirSync } from 'node:fs';
import path from 'node:path';
import { Workspace } from '../../server/src/workspace/workspace.ts';

export const root = path.resolve(import.meta.dirname, '../..');
export const samplesFolder = path.join(root, 'samples');
export const sampleUri = (name: string): string => `file:///samples/${name}`;

/** A workspace with the given files in one folder; what they use and is not among them is absent. */
export function workspaceOf(files: Readonly<Record<string, string>>, folder = 'file:///plans/'): Workspace {
  const workspace = new Workspace();
  for (const [name, text] of Object.entries(files)) workspace.set(folder + name, text);
  for (let wanted = workspace.missingFiles(); wanted.length > 0; wanted = workspace.missingFiles()) {
    wanted.forEach((uri) => workspace.markAbsent(uri));
  }
  return workspace;
}

export function samples(): Record<string, string> {
  return Object.fromEntries(
    readdirSync(samplesFolder)
      .filter((name) => name.endsWith('.yaml'))
      .map((name) => [name, readFileSync(path.join(samplesFolder, name), 'utf8')]),
  );
}

export const sampleWorkspace = (): Workspace => workspaceOf(samples(), sampleUri(''));
