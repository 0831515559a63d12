import path from 'node:path';
import { describe, expect, it } from 'vitest';
import { plugward } from '../cli/run.ts';
import { samples, samplesFolder } from '../support/files.ts';
import { ableClient, fileUri } from './client.ts';
import type { TestClient } from './client.ts';
import { faultyPlan, startClient } from './folder.ts';

interface Print {
  readonly html: string;
  readonly name: string;
}

const print = (client: TestClient, uri: string, kind: string): Promise<Print | null> =>
  client.connection.sendRequest('plugward/print', { uri, kind });

describe('the print request', () => {
  const name = 'quarter-panel.repair-plan.yaml';

  it('answers with the page that the command line prints, photographs included', async () => {
    const client = await startClient(samplesFolder);
    const uri = fileUri(path.join(samplesFolder, name));
    await client.open(uri, samples()[name]!);
    for (const kind of ['job-card', 'estimate', 'review']) {
      const { out } = plugward(samplesFolder, ['report', kind, name]);
      expect(await print(client, uri, kind)).toEqual({ html: out, name: `quarter-panel.${kind}.html` });
    }
    const pictures = (await print(client, uri, 'estimate'))!.html.match(/src="data:image\/jpeg/g);
    expect(pictures).toHaveLength(7);
  });

  it("prints the editor's text, and nothing for other files or unknown prints", async () => {
    const client = await startClient(samplesFolder);
    const uri = fileUri(path.join(samplesFolder, name));
    await client.open(uri, samples()[name]!.replace('HL-0147', 'HL-9147'));
    expect((await print(client, uri, 'job-card'))!.html).toContain('<title>Job card HL-9147</title>');
    expect(await print(client, uri, 'constructor')).toBeNull();
    const sheet = 'harbour-lane.rate-sheet.yaml';
    await client.open(fileUri(path.join(samplesFolder, sheet)), samples()[sheet]!);
    expect(await print(client, fileUri(path.join(samplesFolder, sheet)), 'estimate')).toBeNull();
    expect(client.errors).toEqual([]);
  });

  it('asks the client for photographs stored elsewhere, and gives the reason for each that is not shown', async () => {
    const client = await startClient(undefined, ableClient, { readsFiles: true });
    // The smallest picture: one dot (PNG, ISO/IEC 15948).
    const dot =
      'iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNkYPhfDwAChwGA60e6kgAAAABJRU5ErkJggg==';
    client.connection.onRequest('plugward/areThere', ({ uris }: { uris: string[] }) => ({
      there: uris.map((uri) => !uri.endsWith('/gone.png')),
    }));
    client.connection.onRequest('plugward/readPhoto', ({ uri, max }: { uri: string; max: number }) => ({
      base64: uri.endsWith('/dot.png') ? dot : null,
      size: uri.endsWith('/huge.png') ? max + 1 : null,
    }));
    const uri = 'vscode-vfs://host/shop/lamp.repair-plan.yaml';
    const photos = ['./dot.png', './huge.png', './gone.png', '../out.png'];
    const evidence = photos.map((photo) => `  - { for: op20, photo: ${photo} }\n`).join('');
    await client.open(uri, `${faultyPlan}evidence:\n${evidence}`);
    const { html } = (await print(client, uri, 'estimate'))!;
    expect(html.match(/src="data:image\/png/g)).toHaveLength(1);
    const reasons = [...html.matchAll(/Not shown:<\/span> (.*?)\.<\/p>/g)].map(([, reason]) => reason);
    expect(reasons).toEqual([
      'it is larger than 4 MB; make a smaller copy',
      'it was not read',
      'it was not read',
    ]);
  });
});
