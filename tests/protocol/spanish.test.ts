import path from 'node:path';
import { pathToFileURL } from 'node:url';
import { expect, it } from 'vitest';
import { samples, samplesFolder } from '../support/files.ts';
import { faultyPlan, startClient } from './folder.ts';

const plan = 'quarter-panel-faulty.repair-plan.yaml';
const uri = pathToFileURL(path.join(samplesFolder, plan)).href;

it('a Spanish client gets hovers, the preview, prints, the status, lenses and pages in Spanish', async () => {
  const client = await startClient(samplesFolder, undefined, undefined, 'es-MX');
  const text = samples()[plan]!;
  await client.open(uri, text);
  const ask = <R>(method: string, params: object): Promise<R> =>
    client.connection.sendRequest(method, params);
  const line = text.split('\n').findIndex((one) => one.includes('do: disconnect'));
  const hover = await ask<{ contents: { value: string } }>('textDocument/hover', {
    textDocument: { uri },
    position: { line, character: text.split('\n')[line]!.indexOf('disconnect') + 1 },
  });
  expect(hover.contents.value).toContain('tarea: desconexión.');
  expect((await ask<{ html: string }>('plugward/preview', { uri })).html).toContain(
    'Sin autorización para trabajar',
  );
  const { html } = await ask<{ html: string }>('plugward/print', { uri, kind: 'job-card' });
  expect(html).toMatch(/<html lang="es-MX">[^]*<h1>Hoja de trabajo<\/h1>/);
  expect((await ask<{ text: string }>('plugward/status', { uri })).text).toMatch(
    /^\d+ hallazgos · .* sin cobrar$/,
  );
  const lenses = await ask<{ command: { title: string } }[]>('textDocument/codeLens', {
    textDocument: { uri },
  });
  expect(lenses.map(({ command }) => command.title).join('\n')).toMatch(/hallazgos, graves: \d+/);
  const actions = await ask<{ title: string }[]>('textDocument/codeAction', {
    textDocument: { uri },
    range: { start: { line, character: 0 }, end: { line, character: 200 } },
    context: { diagnostics: [] },
  });
  expect(actions.map(({ title }) => title)).toContain(
    'Corregir todo lo que tiene corrección en el plan, añadiendo los pasos y las líneas que faltan',
  );
  for (const { title } of actions) expect(title).not.toMatch(/\b(Fix|the|and|every)\b/);
  const findings = await ask<{ id: string; title: string }[]>('plugward/findings', {});
  expect(findings).toContainEqual({ id: 'half-covered', title: 'Solo se cubre una mitad' });
  const page = await ask<{ markdown: string }>('plugward/explain', { finding: 'half-covered' });
  expect(page.markdown).toContain('**Por qué importa.**');
  expect(await ask('plugward/explain', { finding: 'no-such-finding' })).toBeNull();
});

it('the message about omitted findings is translated to Spanish', async () => {
  const long = 'untitled:long.repair-plan.yaml';
  const client = await startClient(undefined, undefined, undefined, 'es');
  const lines = Array.from({ length: 300 }, (_, i) => `  - { for: nothing-${i}, hours: 0.1 }`);
  await client.open(long, `${faultyPlan}labour:\n${lines.join('\n')}\n`);
  const diagnostics = await client.diagnostics(long, 1);
  expect(diagnostics.at(-1)!.message).toMatch(/^Aquí no se muestran \d+ hallazgos más/);
});

it.each([
  ['es-MX', 'es', 'es-MX'],
  ['', 'es', 'es'],
  ['en', 'es', 'en'],
  [7, 'es', 'es'],
])('the setting %j of a client that is in %s makes the prints %s', async (locale, client, language) => {
  const spoken = await startClient(samplesFolder, undefined, { locale }, client);
  await spoken.open(uri, samples()[plan]!);
  const { html } = await spoken.connection.sendRequest<{ html: string }>('plugward/print', {
    uri,
    kind: 'job-card',
  });
  expect(html).toContain(`<html lang="${language}">`);
  expect(html).toContain(language === 'es' ? '0,3\u00a0h' : '0.3\u00a0h');
});
