import type { Disposable, ExtensionContext } from 'vscode';
import * as vscode from 'vscode';
import { assistantServers } from './assistant-servers.ts';
import { commandLineOf } from './command-line.ts';

/** As package.json describes it under `mcpServerDefinitionProviders`. */
const id = 'plugward.checker';

/** What editors since VS Code 1.101 have beside the interface this extension is compiled against. */
interface AssistantInterface {
  readonly McpStdioServerDefinition?: new (
    label: string,
    command: string,
    args: string[],
    env: Record<string, string>,
    version: string,
  ) => object;
  readonly lm?: {
    readonly registerMcpServerDefinitionProvider?: (
      id: string,
      provider: { provideMcpServerDefinitions(): object[] },
    ) => Disposable;
  };
}

/**
 * Offers `plugward mcp` to the editor's assistant, one server for each folder, so that what it writes can be checked. The
 * editor asks before it starts one. Nothing where the editor has no such interface or the folder is not trusted.
 */
export function registerAssistantTools(context: ExtensionContext): Disposable[] {
  const { McpStdioServerDefinition: Definition, lm } = vscode as AssistantInterface;
  if (!Definition || !lm?.registerMcpServerDefinitionProvider) return [];
  const script = commandLineOf(context);
  const { version } = context.extension.packageJSON as { version: string };
  const provideMcpServerDefinitions = (): object[] => {
    if (!vscode.workspace.isTrusted) return [];
    const folders = (vscode.workspace.workspaceFolders ?? []).filter(({ uri }) => uri.scheme === 'file');
    return assistantServers(
      folders.map(({ name, uri }) => ({ name, path: uri.fsPath })),
      script,
      vscode.env.language,
    ).map(({ label, command, args, env }) => new Definition(label, command, args, env, version));
  };
  try {
    return [lm.registerMcpServerDefinitionProvider(id, { provideMcpServerDefinitions })];
  } catch {
    // In the versions just before, it is a proposal that extensions may not use, and throws.
    return [];
  }
}
