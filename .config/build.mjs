// Bundles the extension into dist/: the client, the server, the command line, and a page for each finding.
import { chmod, mkdir, readFile, rm, writeFile } from 'node:fs/promises';
import Module from 'node:module';
import path from 'node:path';
import { build } from 'esbuild';
import { bundles, common, core, dist, root } from './bundles.mjs';
import { thirdParty } from './licences.mjs';

/** Loads the core as it is now, to ask it for its pages. Bundled for a browser, in which it has to run as well. */
async function loadCore() {
  const { outputFiles } = await build({
    ...common,
    platform: 'browser',
    stdin: {
      contents: `
        export { explain, findingsList, renamedFindings } from './server/src/features/explain.ts';
        export { languageTags } from './server/src/language/language.ts';
        export { findingIds } from './server/src/findings/registry.ts';`,
      resolveDir: root,
    },
    format: 'esm',
    sourcemap: false,
    write: false,
  });
  return import(`data:text/javascript;base64,${Buffer.from(outputFiles[0].contents).toString('base64')}`);
}

/** The pages of the findings, and for the manifest their names: see stage.mjs. */
async function writePages() {
  const { explain, findingIds, findingsList, renamedFindings, languageTags } = await loadCore();
  const inEach = (list) => Object.fromEntries(languageTags.map((language) => [language, list({ language })]));
  const names = { known: inEach(findingsList), renamed: inEach(renamedFindings) };
  await writeFile(path.join(dist, 'findings.json'), JSON.stringify(names));
  const pages = path.join(dist, 'docs');
  await rm(pages, { recursive: true, force: true });
  await mkdir(pages, { recursive: true });
  for (const id of findingIds) {
    const page = explain(id);
    if (!page) throw new Error(`${id} has no page`);
    await writeFile(path.join(pages, `${id}.md`), page);
  }
}

/** The man page, from the table that the help is made from. */
async function writeManPage() {
  const { outputFiles } = await build({
    ...common,
    stdin: { contents: "export { manPage } from './server/src/cli/man.ts';", resolveDir: root },
    sourcemap: false,
    write: false,
  });
  const module = new Module('man');
  module._compile(outputFiles[0].text, path.join(dist, 'man.js'));
  await writeFile(path.join(dist, 'plugward.1'), await module.exports.manPage());
}

const checkerBuilt = await build(core);
const [, , ...built] = await Promise.all([
  writePages(),
  writeManPage(),
  ...bundles.map((bundle) => build(bundle)),
]);
// The validators were bundled when they were generated.
const validators = JSON.parse(await readFile(path.join(root, 'server/src/generated/bundled.json'), 'utf8'));
const metafiles = [validators, ...[checkerBuilt, ...built].map(({ metafile }) => metafile)];
await writeFile(path.join(dist, 'THIRD-PARTY.md'), await thirdParty(root, metafiles));
for (const name of ['cli.js', 'plugward.js', 'extension/plugward.js'])
  await chmod(path.join(dist, name), 0o755);
