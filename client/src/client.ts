// The extension's entry: `extension.ts` in Node's extension host, `web.ts` in a browser's. One bundle serves both, and runs of
// the other nothing at all.
import type { ExtensionContext } from 'vscode';

// An extension of the same worker may have set a `process` of its own.
const inNode = typeof process === 'object' && process.versions?.node !== undefined;
const host = () => (inNode ? import('./extension.ts') : import('./web.ts'));

export async function activate(context: ExtensionContext): Promise<void> {
  await (await host()).activate(context);
}

export async function deactivate(): Promise<void> {
  await (await host()).deactivate();
}
