import path from 'node:path';
import { pathToFileURL } from 'node:url';
import { describe, expect, it } from 'vitest';
import { samples, samplesFolder } from '../support/files.ts';
import { startClient } from './folder.ts';

const uriOf = (name: string): string => pathToFileURL(path.join(samplesFolder, name)).href;
const plan = 'quarter-panel-faulty.repair-plan.yaml';

describe('the preview request', () => {
  it('returns a page for the current text, whose parts link to their positions', async () => {
    const client = await startClient(samplesFolder);
    const uri = uriOf(plan);
    const text = samples()[plan]!;
    const ask = () => client.connection.sendRequest<{ html: string } | null>('plugward/preview', { uri });
    await client.open(uri, text);
    const first = (await ask())!.html;
    expect(first).toContain('<h1>HL-0148</h1>');
    // The procedure that the plan uses was read too.
    expect(first).toContain('op10/prove-dead');

    const line = '# One line more.\n';
    await client.change(uri, 2, {
      range: { start: { line: 0, character: 0 }, end: { line: 0, character: 0 } },
      text: line,
    });
    const second = (await ask())!.html;
    const moved = (html: string): number[] =>
      [...html.matchAll(/data-from="(\d+)"/g)].map(([, from]) => Number(from));
    expect(moved(second)).toEqual(moved(first).map((from) => from + line.length));
    expect(second).not.toMatch(/<script|<html|<body/);
  });

  it('returns nothing for a rate sheet or an unknown file', async () => {
    const client = await startClient(samplesFolder);
    const sheet = 'harbour-lane.rate-sheet.yaml';
    await client.open(uriOf(sheet), samples()[sheet]!);
    for (const uri of [uriOf(sheet), uriOf('gone.repair-plan.yaml')]) {
      expect(await client.connection.sendRequest('plugward/preview', { uri })).toBeNull();
    }
  });
});
