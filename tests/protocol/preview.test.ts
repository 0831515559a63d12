import path from 'node:path';
import { pathToFileURL } from 'node:url';
import { describe, expect, it } from 'vitest';
import { samples, samplesFolder } from '../support/files.ts';
import { ableClient } from './client.ts';
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

  // Language Server Protocol 3.17, "Show Document Request".
  it('leads to the place of a part, in a client that shows documents', async () => {
    for (const support of [true, false]) {
      const client = await startClient(samplesFolder, {
        ...ableClient,
        window: { showDocument: { support } },
      });
      const shown: unknown[] = [];
      client.connection.onRequest('window/showDocument', (params: unknown) => {
        shown.push(params);
        return { success: true };
      });
      const uri = uriOf(plan);
      const text = samples()[plan]!;
      await client.open(uri, text);
      const { html } = await client.connection.sendRequest<{ html: string }>('plugward/preview', { uri });
      const step = /<tr[^>]*data-from="(\d+)"[^>]*aria-label="op35:/.exec(html)!;
      const ask = (params: object) => client.connection.sendRequest('plugward/show', params);
      expect(await ask({ uri, offset: Number(step[1]) })).toEqual({ shown: support });
      expect(await ask({ uri: uriOf('gone.repair-plan.yaml'), offset: 3 })).toEqual({ shown: false });
      const lines = text.split('\n');
      const line = lines.findIndex((one) => one.includes('{ id: op35'));
      const at = { line, character: lines[line]!.indexOf('op35') };
      expect(shown).toEqual(support ? [{ uri, takeFocus: true, selection: { start: at, end: at } }] : []);
      expect(client.errors).toEqual([]);
    }
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
