import type { ExtensionContext } from 'vscode';

/** The command line that the extension carries, as a path. */
export const commandLineOf = ({ extensionUri }: Pick<ExtensionContext, 'extensionUri'>): string =>
  extensionUri.with({ path: `${extensionUri.path}/dist/plugward.js` }).fsPath;

/** The editor's own Node runs it; the variable makes a desktop editor behave as one. */
export const asNode = { ELECTRON_RUN_AS_NODE: '1' };
