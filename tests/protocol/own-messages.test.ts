import { readdirSync, readFileSync } from 'node:fs';
import { expect, it } from 'vitest';

it("the developers' guide lists every message of our own, once", () => {
  const folder = 'server/src/lsp';
  const sources = readdirSync(folder).map((name) => readFileSync(`${folder}/${name}`, 'utf8'));
  const used = new Set(
    sources.flatMap((text) => [...text.matchAll(/'(plugward\/\w+)'/g)].map(([, name]) => name)),
  );
  // Stands for a request that is refused, and is never sent.
  used.delete('plugward/afterShutdown');
  const guide = readFileSync('DEVELOPERS.md', 'utf8');
  const listed = [...guide.matchAll(/^\| `(plugward\/\w+)` \|/gm)].map(([, name]) => name);
  expect(listed.sort()).toEqual([...used].sort());
});
