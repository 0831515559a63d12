import { existsSync } from 'node:fs';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { fileUri, TestClient } from './client.ts';
import { faultyPlan, startClient, temporaryFolder } from './folder.ts';

describe('a session', () => {
  it('announces what it can do', async () => {
    const client = await startClient(undefined);
    expect(client.initialized).toMatchObject({
      serverInfo: { name: 'Plugward' },
      capabilities: {
        textDocumentSync: { openClose: true, change: 2 },
        hoverProvider: true,
        codeActionProvider: {
          codeActionKinds: ['quickfix', 'source.fixAll.plugward'],
          resolveProvider: true,
        },
        workspace: { workspaceFolders: { supported: true } },
      },
    });
  });

  it('speaks the language of the client', async () => {
    const folder = temporaryFolder();
    const uri = fileUri(path.join(folder, 'lamp.repair-plan.yaml'));
    const client = await startClient(folder, undefined, undefined, 'es-MX');
    await client.open(uri, faultyPlan, 1);
    const found = (await client.diagnostics(uri, 1)).find(({ code }) => code === 'bare-connector');
    expect(found!.message).toContain('nada lo cubre');
    expect(found!.relatedInformation![0]!.message).toContain('se abre aquí');
  });

  it('publishes findings with version, page and related places', async () => {
    const folder = temporaryFolder();
    const uri = fileUri(path.join(folder, 'lamp.repair-plan.yaml'));
    const client = await startClient(folder);
    await client.open(uri, faultyPlan, 7);
    const found = (await client.diagnostics(uri, 7)).find(({ code }) => code === 'bare-connector');
    expect(found).toMatchObject({
      source: 'plugward',
      message: expect.stringContaining('lamp') as string,
      range: { start: { line: 6 } },
    });
    expect(existsSync(fileURLToPath(found!.codeDescription!.href))).toBe(true);
    const places = found!.relatedInformation!.map(({ location }) => location);
    expect(places).toContainEqual(expect.objectContaining({ uri }));
    expect(places.map(({ range }) => range.start.line)).toContain(7);
  });

  it('leaves related places out for a client that cannot show them', async () => {
    const uri = 'untitled:lamp.repair-plan.yaml';
    const client = await startClient(undefined, {});
    await client.open(uri, faultyPlan);
    const diagnostics = await client.diagnostics(uri, 1);
    expect(diagnostics).not.toHaveLength(0);
    for (const diagnostic of diagnostics) expect(diagnostic).not.toHaveProperty('relatedInformation');
  });

  it('fades what is not used and strikes out old names of findings, for a client that shows tags', async () => {
    const uri = 'untitled:lamp.repair-plan.yaml';
    const accepted = `accepted:
  - { finding: never-ends, at: op10, reason: x, by: Lead technician, until: 2029-03-01 }
`;
    const text = faultyPlan.replace(
      'operations:',
      '  - { id: pump, class: low-voltage, zone: front-left }\noperations:',
    );
    const tagSupport = { valueSet: [1, 2] as never[] };
    for (const publishDiagnostics of [{ tagSupport }, {}]) {
      const client = await startClient(undefined, { textDocument: { publishDiagnostics } });
      await client.open(uri, text + accepted);
      const found = await client.diagnostics(uri, 1);
      const tags = found.flatMap(({ code, tags }) => (tags ? [[code, ...tags]] : []));
      // DiagnosticTag of the protocol: 1 is Unnecessary, 2 is Deprecated.
      const both = [
        ['unused-id', 1],
        ['finding-renamed', 2],
      ];
      expect(tags).toEqual('tagSupport' in publishDiagnostics ? both : []);
    }
  });

  it("refers to a file by the client's URI, however that is encoded", async () => {
    const folder = temporaryFolder();
    // The server's own way of writing this is …/a%2Bb%40c.repair-plan.yaml.
    const uri = `${fileUri(folder)}/a+b@c.repair-plan.yaml`;
    const client = await startClient(folder);
    await client.open(uri, faultyPlan);
    const diagnostics = await client.diagnostics(uri, 1);
    const [action] = await client.codeActions(uri, diagnostics[0]!.range);
    const related = diagnostics.flatMap(({ relatedInformation }) => relatedInformation ?? []);
    expect(new Set(related.map(({ location }) => location.uri))).toEqual(new Set([uri]));
    expect(action?.edit?.documentChanges).toEqual([
      expect.objectContaining({ textDocument: { uri, version: 1 } }),
    ]);
  });

  it('takes severities from the settings, and ignores invalid ones', async () => {
    const uri = 'untitled:lamp.repair-plan.yaml';
    const client = await startClient(
      undefined,
      {},
      { severities: { 'bare-connector': 'off', nonsense: 'error' } },
    );
    await client.open(uri, faultyPlan);
    const codes = (await client.diagnostics(uri, 1)).map(({ code }) => code);
    expect(codes).not.toContain('bare-connector');

    const from = client.published.length;
    const settings = { plugward: { severities: { 'bare-connector': 'information', exposed: 3 } } };
    await client.notify('workspace/didChangeConfiguration', { settings });
    const after = await client.next((params) => params.uri === uri, from);
    expect(after.find(({ code }) => code === 'bare-connector')?.severity).toBe(3);
  });

  it('shows the heat of a connector on hover, as Markdown or without it', async () => {
    const uri = 'untitled:heat.repair-plan.yaml';
    const text = `plan: HL-0901
vehicle: { description: Kestrel estate (invented), propulsion: battery-electric, system-voltage: 400 V }
connectors:
  - id: inverter-dc
    class: high-voltage-power
    zone: motor-bay
    current: { steady: 300 A }
    resistance: { limit: 1 mΩ }
operations:
  - { id: op10, do: disconnect, connectors: [inverter-dc] }
`;
    for (const capabilities of [{}, { textDocument: { hover: { contentFormat: ['markdown' as const] } } }]) {
      const client = await startClient(undefined, capabilities);
      await client.open(uri, text);
      const position = { line: 3, character: 10 };
      const hover = await client.connection.sendRequest('textDocument/hover', {
        textDocument: { uri },
        position,
      });
      // P = I²R: 300 A through 1 mΩ is 90 W (common practice, no source; any electricity text has the formula).
      expect(hover).toMatchObject({
        contents: {
          kind: 'textDocument' in capabilities ? 'markdown' : 'plaintext',
          value: expect.stringMatching(/\b90(\.0)?[ \u00a0]W\b/) as string,
        },
      });
    }
  });

  it('links the heat of a connector to a page for a client that opens one, and tells others how to get it', async () => {
    const uri = 'untitled:heat (1).repair-plan.yaml';
    const text = `plan: HL-0901
connectors:
  - { id: inverter-dc, class: high-voltage-power, zone: motor-bay, current: { steady: 300 A }, resistance: { limit: 1 mΩ } }
operations: []
`;
    const markdown = { textDocument: { hover: { contentFormat: ['markdown' as const] } } };
    for (const opensHeat of [true, false]) {
      const client = await startClient(undefined, markdown, { opensHeat });
      await client.open(uri, text);
      const position = { line: 2, character: 12 };
      const { contents } = await client.connection.sendRequest<{ contents: { value: string } }>(
        'textDocument/hover',
        { textDocument: { uri }, position },
      );
      const link = /\[All figures with their reasons\]\(command:plugward\.heat\?([^()\s]+)\)/.exec(
        contents.value,
      );
      if (!opensHeat) {
        expect(link).toBeNull();
        expect(contents.value).toContain('`plugward heat PLAN --connector inverter-dc`');
        continue;
      }
      expect(JSON.parse(decodeURIComponent(link![1]!))).toEqual([uri, 'inverter-dc']);
      const page = (connector: string): Promise<{ markdown: string } | null> =>
        client.connection.sendRequest('plugward/heat', { uri, connector });
      // The page has what the hover has no room for: the reason of every assumption.
      expect((await page('inverter-dc'))?.markdown).toContain(
        'Assumed for the temperatures, because nothing states it',
      );
      expect(await page('no-such')).toBeNull();
    }
  });

  it('clears the findings of a file that is closed', async () => {
    const uri = 'untitled:lamp.repair-plan.yaml';
    const client = await startClient(undefined);
    await client.open(uri, faultyPlan);
    expect(await client.diagnostics(uri, 1)).not.toHaveLength(0);
    const from = client.published.length;
    await client.close(uri);
    expect(await client.next((params) => params.uri === uri, from)).toHaveLength(0);
  });

  it('shows no more than 200 findings, and says how many more there are', async () => {
    const uri = 'untitled:long.repair-plan.yaml';
    const client = await startClient(undefined);
    const lines = Array.from({ length: 300 }, (_, i) => `  - { for: nothing-${i}, hours: 0.1 }`);
    await client.open(uri, `${faultyPlan}labour:\n${lines.join('\n')}\n`);
    const diagnostics = await client.diagnostics(uri, 1);
    expect(diagnostics).toHaveLength(201);
    expect(diagnostics.at(-1)).toMatchObject({
      severity: 3,
      message: expect.stringMatching(/^\d+ more findings/) as string,
    });
  });

  it('ends as the protocol says: 0 after shutdown, 1 without', async () => {
    const polite = await TestClient.start(undefined);
    expect(await polite.stop()).toBe(0);
    const abrupt = await TestClient.start(undefined);
    await abrupt.notify('exit', undefined);
    expect(await abrupt.ended).toBe(1);
  });
});
