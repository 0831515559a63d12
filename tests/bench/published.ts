import { readFileSync, writeFileSync } from 'node:fs';
import Ajv2020 from 'ajv/dist/2020.js';
import standaloneCode from 'ajv/dist/standalone/index.js';
import addFormats from 'ajv-formats';

/**
 * The floor's validators: the published schemas as any JSON Schema tool would compile them, in one piece.
 * @returns the plan's validator, and writes both kinds the batch needs to `file` for another process.
 */
export function publishedValidators(file: string): (value: unknown) => boolean {
  const ajv = new Ajv2020({ allErrors: true, strict: false, allowUnionTypes: true, code: { source: true } });
  addFormats(ajv);
  const read = (kind: string): object =>
    JSON.parse(readFileSync(`schemas/${kind}.schema.json`, 'utf8')) as object;
  const plan = ajv.compile({ ...read('repair-plan'), $id: 'plan' });
  ajv.addSchema({ ...read('rate-sheet'), $id: 'sheet' });
  writeFileSync(file, standaloneCode(ajv, { plan: 'plan', sheet: 'sheet' }));
  return (value) => plan(value) as boolean;
}
