// The checker in a process of Node: a file beside the bundle, from the code that V8 made of it in an earlier start.
import { readFileSync } from 'node:fs';
import path from 'node:path';
import { readModule, runCompiled } from './disk/compiled-script.ts';
import type { ModuleText } from './disk/compiled-script.ts';
import type { Cache } from './lsp/host.ts';

const coreFile = path.join(__dirname, 'core.js');

/** Name of the code in a cache. */
const entry = 'code of core.js';

let cacheOf: () => Cache | undefined = () => undefined;
let loaded: object | undefined;
/** Its text, while it is being loaded. */
let text: ModuleText | undefined;

/**
 * Before the core is loaded: where its code is kept for the next start.
 * @param cache opened when it is needed; of this program alone
 */
export function keepCodeIn(cache: () => Cache | undefined): void {
  cacheOf = cache;
}

/** The exports of the core's script, loaded on first use. */
export function core(): object {
  return (loaded ??= load());
}

/**
 * What the file of the core holds.
 * @throws the error of the system where it cannot be read
 */
export function coreBytes(): Uint8Array {
  return text?.bytes ?? readFileSync(coreFile);
}

function load(): object {
  text = readModule(coreFile);
  try {
    const cache = cacheOf();
    const script = runCompiled(text, cache?.get(entry));
    // At once: V8 takes code only under the flags that it was made with. What runs later is not in it, and seldom all needed.
    if (!script.wasKept) cache?.put(entry, script.code());
    return script.exports;
  } finally {
    text = undefined;
  }
}
