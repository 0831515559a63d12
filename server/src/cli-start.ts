// Starts the command line from the V8 code cache made by the build; a different Node version rejects it and
// compiles anew. It saves a third of the time that checking one small plan takes.
import { existsSync, readFileSync } from 'node:fs';
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

const file = path.join(__dirname, 'plugward.js');
const compiled = `${file}.compiled`;
const bytes = readFileSync(file);
// A text inside a function has no first line for the shell. All is ASCII: see `inAscii` in .config/bundles.mjs.
bytes.write('//');
const source = bytes.toString('latin1');
const script = new Script(Module.wrap(source), {
  filename: file,
  ...(existsSync(compiled) ? { cachedData: readFileSync(compiled) } : {}),
});
const module = { exports: {} };
(script.runInThisContext() as CommonJs)(module.exports, createRequire(file), module, file, __dirname);
