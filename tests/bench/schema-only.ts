/**
 * The floor of a batch: a YAML reader and the published schemas, no findings. Of the two readers one is fast and forgets places,
 * so that no mistake could be shown; the other keeps them.
 */
import { readFileSync, readdirSync } from 'node:fs';
import path from 'node:path';

const [, , folder, reader, schemas] = process.argv as [string, string, string, string, string];
// Installed and compiled on demand.
const { load, parseDocument } = require(reader) as {
  load?(text: string): unknown;
  parseDocument?(text: string): { toJS(): unknown };
};
const { plan, sheet } = require(schemas) as Record<'plan' | 'sheet', (value: unknown) => boolean>;
let wrong = 0;
for (const name of readdirSync(folder)) {
  const validator = name.includes('.rate-sheet.') ? sheet : plan;
  const text = readFileSync(path.join(folder, name), 'utf8');
  if (!validator(load ? load(text) : parseDocument!(text).toJS())) wrong++;
}
process.exitCode = wrong > 0 ? 1 : 0;
