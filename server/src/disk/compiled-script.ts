import { closeSync, fstatSync, openSync, readSync } from 'node:fs';
import Module, { createRequire } from 'node:module';
import path from 'node:path';
import { Script } from 'node:vm';

type CommonJs = (
  exports: object,
  require: NodeJS.Require,
  module: { exports: object },
  file: string,
  folder: string,
) => void;

/** A CommonJS module that has run, from code that V8 compiled in another process where there was some. */
export interface CompiledScript {
  readonly exports: object;
  /** Whether V8 took that code. */
  readonly wasKept: boolean;
  /** What V8 has compiled by now, for another process with the same flags. */
  code(): Buffer;
}

/** A CommonJS module as its file has it. */
export interface ModuleText {
  readonly file: string;
  /** Its text, in ASCII, inside the function that Node puts around a module. */
  readonly source: string;
  /** The bytes of the file. */
  readonly bytes: Buffer;
  /** The memory that holds them, free for something else once they are not needed. */
  readonly memory: Buffer;
}

const [head, tail] = Module.wrap('\0').split('\0') as [string, string];

/**
 * Reads a module. Memory that is used for the first time takes time, and a text of some million characters takes its size
 * twice here; three times where the function is put around it later.
 * @param file a text in ASCII; a first line for the shell may stand in it
 * @param size that the memory is to have at least; unit: bytes
 * @throws the error of the system where it cannot be read
 */
export function readModule(file: string, size = 0): ModuleText {
  const handle = openSync(file, 'r');
  try {
    const end = head.length + fstatSync(handle).size;
    const memory = Buffer.allocUnsafeSlow(Math.max(size, end + tail.length));
    memory.write(head, 'latin1');
    const bytes = memory.subarray(head.length, end);
    readWhole(handle, bytes);
    // A text inside a function has no such line.
    if (bytes.toString('latin1', 0, 2) === '#!') bytes.write('//');
    memory.write(tail, end, 'latin1');
    return { file, source: memory.toString('latin1', 0, end + tail.length), bytes, memory };
  } finally {
    closeSync(handle);
  }
}

/**
 * Fills a buffer from the beginning of an open file.
 * @throws the error of the system, or one of its own where the file is shorter
 */
export function readWhole(handle: number, into: Buffer): void {
  for (let at = 0; at < into.length;) {
    const read = readSync(handle, into, at, into.length - at, at);
    if (read === 0) throw new Error('the file has become shorter');
    at += read;
  }
}

/**
 * Runs a CommonJS module.
 * @param code of which V8 checks only that it was made of a text of this length
 * @throws what the module throws
 */
export function runCompiled({ file, source }: ModuleText, code: Uint8Array | undefined): CompiledScript {
  const script = new Script(source, {
    filename: file,
    ...(code ? { cachedData: Buffer.from(code.buffer, code.byteOffset, code.byteLength) } : {}),
  });
  const module = { exports: {} };
  (script.runInThisContext() as CommonJs)(
    module.exports,
    createRequire(file),
    module,
    file,
    path.dirname(file),
  );
  return {
    exports: module.exports,
    wasKept: script.cachedDataRejected === false,
    code: () => script.createCachedData(),
  };
}
