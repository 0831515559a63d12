/** The floor of a batch: a fast YAML reader and the schema, no places and no findings. */
import { readFileSync, readdirSync } from 'node:fs';
import path from 'node:path';
import { validate } from '../../server/src/generated/validate.ts';

const [, , folder, reader] = process.argv as [string, string, string, string];
// Installed on demand, so its path is known only now.
const { load } = require(reader) as { load(text: string): unknown };
let wrong = 0;
for (const name of readdirSync(folder)) {
  const kind = name.includes('.rate-sheet.') ? 'rate-sheet' : 'repair-plan';
  if (!validate[kind].whole(load(readFileSync(path.join(folder, name), 'utf8')))) wrong++;
}
process.exitCode = wrong > 0 ? 1 : 0;
