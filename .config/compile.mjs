// Runs a bundle once and keeps what V8 compiled for it: `node compile.mjs BUNDLE [ARGUMENTS…]` writes BUNDLE.compiled,
// which server/src/cli-start.ts reads.
import { readFileSync, writeFileSync } from 'node:fs';
import Module, { createRequire } from 'node:module';
import path from 'node:path';
import { Script } from 'node:vm';

const file = path.resolve(process.argv[2]);
process.argv.splice(1, 2, file);
const source = readFileSync(file, 'utf8').replace(/^#!/, '//');
const script = new Script(Module.wrap(source), { filename: file });
// Run first: V8 compiles functions lazily, and only compiled ones are cached.
process.on('exit', () => writeFileSync(`${file}.compiled`, script.createCachedData()));
const module = { exports: {} };
script.runInThisContext()(module.exports, createRequire(file), module, file, path.dirname(file));
