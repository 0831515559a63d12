import { spawn } from 'node:child_process';
import path from 'node:path';
import { build } from 'esbuild';
import { describe, expect, test, vi } from 'vitest';
import { root } from '../support/files.ts';

/**
 * How many times the usual number of texts. `PLUGWARD_FUZZ=300 npx vitest run -c .config/vitest.config.mts
 * tests/hardening/fuzz.test.ts` is the long run: over a million documents and a hundred thousand edit sequences.
 */
const factor = Number(process.env['PLUGWARD_FUZZ'] ?? 1);
const seed = Number(process.env['PLUGWARD_FUZZ_SEED'] ?? 20_270_210);

/** What the process may take at most, whatever it reads: its program, the files of the fixtures and a heap of 256 MB. Unit: MB. */
const bound = 512;

vi.setConfig({ testTimeout: 300_000 * Math.max(1, factor) });

/** Runs the fuzzer as a process of its own, so that what hangs or eats memory can be ended and is named. */
async function fuzz(documents: number, sequences: number): Promise<unknown[]> {
  // Two folders below the root, as the sources are: they find the samples from where they stand.
  const outfile = path.join(root, '.cache/hardening/fuzz.mjs');
  await build({
    entryPoints: [path.join(root, 'tests/hardening/fuzz/run.ts')],
    outfile,
    bundle: true,
    platform: 'node',
    format: 'esm',
    // As in the real bundles; the build for Node asks for modules in a way that only CommonJS answers.
    alias: { yaml: path.join(root, 'node_modules/yaml/browser/index.js') },
    logLevel: 'error',
  });
  const child = spawn(process.execPath, [outfile, String(seed), String(documents), String(sequences)], {
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  let out = '';
  child.stdout.setEncoding('utf8').on('data', (more: string) => (out += more));
  await new Promise((resolve) => child.once('close', resolve));
  return out
    .trim()
    .split('\n')
    .map((line) => JSON.parse(line) as unknown);
}

describe('for any text', () => {
  test('no text throws, hangs, breaks an output or gets a span outside itself', async () => {
    const [documents, sequences] = [Math.round(3_500 * factor), Math.round(350 * factor)];
    const lines = await fuzz(documents, sequences);
    const counts = lines.pop() as { megabytes: number };
    console.log(counts);
    expect(lines).toEqual([]);
    expect(counts).toMatchObject({ seed, documents, sequences, edits: sequences * 8, faults: 0 });
    expect(counts.megabytes).toBeLessThan(bound);
  });
});
