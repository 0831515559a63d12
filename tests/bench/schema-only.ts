/** The floor of a batch: a fast YAML reader and the published schemas, no places and no findings. */
import { readFileSync, readdirSync } from 'node:fs';
import path from 'node:path';

const [, , folder, reader, schemas] = process.argv as [string, string, string, string, string];
// Installed and compiled on demand.
const { load } = require(reader) as { load(text: string): unknown };
const { plan, sheet } = require(schemas) as Record<'plan' | 'sheet', (value: unknown) => boolean>;
let wrong = 0;
for (const name of readdirSync(folder)) {
  const validator = name.includes('.rate-sheet.') ? sheet : plan;
  if (!validator(load(readFileSync(path.join(folder, name), 'utf8')))) wrong++;
}
process.exitCode = wrong > 0 ? 1 : 0;
