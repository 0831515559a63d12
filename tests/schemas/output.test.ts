import { readFileSync } from 'node:fs';
import { registerSchema, validate } from '@hyperjump/json-schema/draft-2020-12';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { afterAll, describe, expect, test } from 'vitest';
import { samples } from '../support/files.ts';
import { folderWith, plugward, removeFolders } from '../cli/run.ts';

afterAll(removeFolders);

type Schema = Record<string, unknown>;

const published = JSON.parse(readFileSync('schemas/output.schema.json', 'utf8')) as Schema & {
  $id: string;
  $defs: Record<string, Schema>;
};

/** The same schema that knows no key but those it describes: an output with another one is not described. */
function strict(schema: Schema): Schema {
  return JSON.parse(JSON.stringify(schema), (_, value: unknown) =>
    value !== null && typeof value === 'object' && 'properties' in value && 'type' in value
      ? { ...value, additionalProperties: false }
      : value,
  ) as Schema;
}

const ajv = new Ajv2020({ strict: false, allErrors: true });
ajv.addSchema(published);
const closed = 'https://plugward.invalid/schemas/closed-output.schema.json';
ajv.addSchema({ ...strict(published), $id: closed });
registerSchema(published as never);

/** Whether ajv and the second validator accept a value as what a command prints. */
async function verdicts(command: string, value: unknown): Promise<[boolean, boolean]> {
  const address = `${published.$id}#/$defs/${command}`;
  const { valid } = await validate(address, value as never);
  return [ajv.validate(address, value), valid];
}

const story = ['1-before-opening', '2-opened', '3-done'].map((name) => `${name}.repair-plan.yaml`);
const cwd = folderWith({
  ...samples(),
  ...Object.fromEntries(
    story.map((name) => [`story/${name}`, readFileSync(`samples/story/${name}`, 'utf8')]),
  ),
});
const faulty = 'quarter-panel-faulty.repair-plan.yaml';
const today = ['--today', '2027-02-10'];

const outputs: readonly (readonly [command: string, args: readonly string[]])[] = [
  ['check', ['check', '--format', 'json', ...today]],
  ['check', ['check', 'quarter-panel.repair-plan.yaml', '--format', 'json', ...today]],
  ['check', ['check', 'gone.repair-plan.yaml', '--format', 'json']],
  ['check', ['check', faulty, '--format', 'json', '--language', 'es', ...today]],
  ['check', ['report', 'review', '.', '--format', 'json', ...today]],
  ['compare', ['compare', `story/${story[0]!}`, `story/${story[1]!}`, '--format', 'json', ...today]],
  ['compare', ['compare', `story/${story[2]!}`, `story/${story[0]!}`, '--format', 'json', ...today]],
  ['compare', ['compare', faulty, 'quarter-panel.repair-plan.yaml', '--format', 'json', ...today]],
  [
    'compare',
    ['report', 'supplement', `story/${story[1]!}`, `story/${story[2]!}`, '--format', 'json', ...today],
  ],
  ['explain', ['explain', '--format', 'json']],
  ['explain', ['explain', 'bare-connector', '--format', 'json', '--language', 'es']],
  ['heat', ['heat', 'quarter-panel.repair-plan.yaml', '--format', 'json']],
  ['heat', ['heat', faulty, '--format', 'json']],
  ['heat', ['heat', 'kestrel.connector-list.yaml', '--format', 'json']],
  ['tasks', ['tasks', '--format', 'json']],
  ['tasks', ['tasks', 'harbour-lane.rate-sheet.yaml', '--format', 'json']],
  ['zones', ['zones', 'kestrel.connector-list.yaml', '--format', 'json']],
];

describe('what the command line prints as JSON', () => {
  test.each(outputs.map(([command, args]) => [args.join(' '), command, args] as const))(
    '%s',
    async (_, command, args) => {
      const { out, err, code } = plugward(cwd, args);
      expect([code === 2 ? err : '', out]).toEqual([
        expect.not.stringContaining('please report'),
        expect.stringMatching(/^\{/),
      ]);
      const value = JSON.parse(out) as object;
      expect(await verdicts(command, value)).toEqual([true, true]);
      expect(ajv.validate(published.$id, value)).toBe(true);
      // Every key is described.
      ajv.validate(`${closed}#/$defs/${command}`, value);
      expect(ajv.errors ?? []).toEqual([]);
    },
  );

  test('covers every command of the schema', () => {
    const roots = (published['anyOf'] as { $ref: string }[]).map(({ $ref }) => $ref.split('/').at(-1));
    expect([...new Set(outputs.map(([command]) => command))].sort()).toEqual(roots.sort());
  });
});

test.each<[string, string, (value: never) => void]>([
  [
    'check',
    'a severity that is none',
    (one: { findings: { severity: string }[] }) => (one.findings[0]!.severity = 'fatal'),
  ],
  [
    'check',
    'a line before the first',
    (one: { findings: { start: { line: number } }[] }) => (one.findings[0]!.start.line = 0),
  ],
  ['check', 'no summary', (one: { summary?: object }) => delete one.summary],
  ['check', 'another form', (one: { format: number }) => (one.format = 2)],
  [
    'compare',
    'an amount that is no decimal',
    (one: { comparisons: { money: { net: string } }[] }) => (one.comparisons[0]!.money.net = '1,5'),
  ],
  ['explain', 'a page without its caution', (one: { caution?: string }) => delete one.caution],
  ['heat', 'figures without their note', (one: { note?: string }) => delete one.note],
  ['tasks', 'a task without its needs', (one: { tasks: { needs?: object }[] }) => delete one.tasks[0]!.needs],
  ['zones', 'another tool', (one: { tool: { name: string } }) => (one.tool.name = 'other')],
])('the schema of %s rejects %s', async (command, _, spoil) => {
  const [, args] = outputs.find(([name]) => name === command)!;
  const value = JSON.parse(plugward(cwd, args).out) as never;
  expect(await verdicts(command, value)).toEqual([true, true]);
  spoil(value);
  expect(await verdicts(command, value)).toEqual([false, false]);
});
