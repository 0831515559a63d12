import { asNode } from './command-line.ts';

interface AssistantServer {
  readonly label: string;
  readonly command: string;
  readonly args: string[];
  readonly env: Record<string, string>;
}

/** What Plugward speaks nearest to the editor's language, a tag in small letters. */
const spoken = (language: string): string =>
  language === 'es-mx' ? 'es-MX' : language.split('-')[0] === 'es' ? 'es' : 'en';

/**
 * How `plugward mcp` is started for each of these folders, by the editor's own Node. Each reads its own folder only.
 */
export const assistantServers = (
  folders: readonly { readonly name: string; readonly path: string }[],
  script: string,
  language: string,
): AssistantServer[] =>
  folders.map(({ name, path }) => ({
    label: folders.length > 1 ? `Plugward: ${name}` : 'Plugward',
    command: process.execPath,
    args: [script, 'mcp', '--language', spoken(language), path],
    env: asNode,
  }));
