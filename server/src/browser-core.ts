// The checker in a browser's worker: a script of its own. The build makes `core` the way to it.

/** As much of a worker's global scope as is used here; the types of a browser and of Node do not mix. */
interface WorkerScope {
  readonly location: { readonly href: string };
  importScripts(address: string): void;
  /** The global that the script sets. */
  readonly plugwardCore?: object;
}
const scope = globalThis as unknown as WorkerScope;

let told: string | undefined;

/** The address of a file of `dist/`; the build writes them beside the bundle. */
export function addressOf(file: string): string | undefined {
  // An editor may start the worker from a blob URL, which has no sibling files; the client then passes the
  // address of the core.
  const beside = [told, scope.location.href].find((one) => one !== undefined && URL.canParse(file, one));
  return beside === undefined ? undefined : new URL(file, beside).href;
}

/** @param address URL of the core's script, passed by the client */
export function coreLiesAt(address: unknown): void {
  if (typeof address === 'string' && URL.canParse(address)) told = address;
}

/** The exports of the core's script, loaded on first use. */
export function core(): object {
  const address = addressOf('core.js');
  if (!scope.plugwardCore && address !== undefined) scope.importScripts(address);
  if (!scope.plugwardCore)
    throw new Error('the client tells no address of the core, and none lies beside the server');
  return scope.plugwardCore;
}
