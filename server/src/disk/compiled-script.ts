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

/**
 * Runs a CommonJS module.
 * @param source its text, in ASCII; of the code V8 checks only that it was made of a text of this length
 * @throws what the module throws
 */
export function runCompiled(file: string, source: string, code: Uint8Array | undefined): CompiledScript {
  const script = new Script(Module.wrap(source), {
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
