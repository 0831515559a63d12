import { readFileSync } from 'node:fs';
import { registerSchema, setShouldValidateFormat, validate } from '@hyperjump/json-schema/draft-2020-12';
import '@hyperjump/json-schema/formats';
import { Ajv2020 } from 'ajv/dist/2020.js';
import addFormats from 'ajv-formats';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { parse } from 'yaml';
import { kindOf } from '../../server/src/document/kind.ts';
import { samples } from '../support/files.ts';

// The published schemas, as they lie there, under two validators that know nothing of this project or of each other.
setShouldValidateFormat(true);
const ajv = addFormats.default(new Ajv2020({ strict: false }));
const ajvAccepts = new Map<string, (value: unknown) => boolean>();
for (const kind of ['repair-plan', 'shop-procedure', 'connector-list', 'rate-sheet']) {
  const schema = JSON.parse(readFileSync(`schemas/${kind}.schema.json`, 'utf8')) as { $id: string };
  registerSchema(schema as never);
  const compiled = ajv.compile(schema);
  ajvAccepts.set(kind, (value) => compiled(value));
}
const idOf = (kind: string) => `https://plugward.invalid/schemas/${kind}.schema.json`;

/** Whether each of the two accepts a document. */
async function verdicts(kind: string, document: unknown): Promise<[boolean, boolean]> {
  const { valid } = await validate(idOf(kind), document as never);
  return [ajvAccepts.get(kind)!(document), valid];
}

const documents = Object.entries(samples()).map(([name, text]) => {
  const kind = kindOf(`file:///${name}`, text)!;
  return { name, kind, document: parse(text) as object };
});

describe('the published schemas alone', () => {
  test.each(documents)('accept $name', async ({ kind, document }) => {
    expect(await verdicts(kind, document)).toEqual([true, true]);
  });

  const plan = documents.find(({ name }) => name === 'quarter-panel.repair-plan.yaml')!.document;
  test.each<[string, Path, unknown]>([
    ['no operations', ['operations'], undefined],
    ['a key that is not in the language', ['colour'], 'red'],
    ['a voltage without a unit', ['vehicle', 'system-voltage'], 400],
    ['a voltage in amperes', ['vehicle', 'system-voltage'], '400 A'],
    ['a propulsion that is none', ['vehicle', 'propulsion'], 'steam'],
    ['a day that is none', ['sources', 0, 'consulted'], '2027-02-30'],
    ['an id with a space', ['operations', 0, 'id'], 'op 10'],
    ['a list where a word belongs', ['operations', 1, 'do'], ['cut']],
  ])('reject a plan with %s', async (_, path, value) => {
    const spoilt = structuredClone(plan);
    put(spoilt, path, value);
    expect(await verdicts('repair-plan', spoilt)).toEqual([false, false]);
  });

  test('give the same verdict in two independent validators, whatever is damaged', async () => {
    let refused = 0;
    const spoiling = fc.constantFrom<unknown>('', 'x', 7, -1, true, null, [], {}, ['x'], undefined);
    const places = documents.flatMap(({ kind, document }) =>
      pathsOf(document).map((path) => ({ kind, document, path })),
    );
    await fc.assert(
      fc.asyncProperty(fc.constantFrom(...places), spoiling, async ({ kind, document, path }, value) => {
        const spoilt = structuredClone(document);
        put(spoilt, path, value);
        const [one, other] = await verdicts(kind, spoilt);
        expect(one).toBe(other);
        if (!one) refused++;
      }),
      { numRuns: 300, seed: 20270210 },
    );
    expect(refused).toBeGreaterThan(150);
  });
});

type Path = readonly (string | number)[];

function pathsOf(value: unknown, path: Path = []): Path[] {
  if (value === null || typeof value !== 'object') return [path];
  const keys = Array.isArray(value) ? value.map((_, i) => i) : Object.keys(value);
  const below = keys.flatMap((key) =>
    pathsOf((value as Record<string | number, unknown>)[key], [...path, key]),
  );
  return path.length === 0 ? below : [path, ...below];
}

/** Puts a value at a place; `undefined` takes away what is there. */
function put(root: object, path: Path, value: unknown): void {
  const parent = path
    .slice(0, -1)
    .reduce(
      (one, key) => one[key] as Record<string | number, unknown>,
      root as Record<string | number, unknown>,
    );
  const last = path.at(-1)!;
  if (value !== undefined) parent[last] = value;
  else if (Array.isArray(parent)) parent.splice(last as number, 1);
  else Reflect.deleteProperty(parent, last);
}
