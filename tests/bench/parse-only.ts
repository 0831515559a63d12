/** The floor of a first opening: what a new process needs to read a text with `yaml` and to validate it, loading both. */
import { readFileSync } from 'node:fs';

const [, , file, reader, schemas] = process.argv as [string, string, string, string, string];
const text = readFileSync(file, 'utf8');
const start = performance.now();
const { parseDocument } = require(reader) as { parseDocument(text: string): { toJS(): unknown } };
const { plan } = require(schemas) as { plan(value: unknown): boolean };
plan(parseDocument(text).toJS());
process.stdout.write(String(performance.now() - start));
