// Lays out what the extension's package holds in dist/package: the files that .vscodeignore lets through, and beside the
// manifest its words in every language of client/l10n, as the editor wants them.
import { copyFile, mkdir, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import path from 'node:path';
import { listFiles, PackageManager } from '@vscode/vsce';
import { parse } from 'yaml';

const root = path.resolve(import.meta.dirname, '..');
const out = path.join(root, 'dist/package');
const words = path.join(root, 'client/l10n');

const files = await listFiles({ cwd: root, packageManager: PackageManager.None });
await rm(out, { recursive: true, force: true });
for (const file of files) {
  await mkdir(path.dirname(path.join(out, file)), { recursive: true });
  await copyFile(path.join(root, file), path.join(out, file));
}
// The command line as the extension carries it takes the checker from `core.js`.
await copyFile(path.join(root, 'dist/extension/plugward.js'), path.join(out, 'dist/plugward.js'));

const shown = new Set(['title', 'description', 'markdownDescription', 'altText', 'contents']);
/** The name of a view is shown, that of a problem matcher is not. */
const isShown = (key, part) => shown.has(key) || (key === 'name' && part.id !== undefined);
/** The words of the manifest that a person reads, by the name that stands for them in the packed one. */
const english = {};

/** A part of the manifest with names in the place of its words. */
function named(part, inside) {
  if (typeof part === 'string') {
    if (!inside || part === manifest.displayName) return part;
    const known = Object.keys(english).find((name) => english[name] === part);
    const name = known ?? `words-${Object.keys(english).length + 1}`;
    english[name] = part;
    return `%${name}%`;
  }
  if (Array.isArray(part)) return part.map((one) => named(one, inside));
  if (part === null || typeof part !== 'object') return part;
  return Object.fromEntries(
    Object.entries(part).map(([key, value]) => [
      key,
      named(value, (isShown(key, part) && typeof value === 'string') || key === 'aliases'),
    ]),
  );
}

const manifest = JSON.parse(await readFile(path.join(root, 'package.json'), 'utf8'));
const { description, capabilities, contributes } = manifest;
const packed = {
  ...manifest,
  // The editor builds nothing: JSON leaves out what is undefined.
  scripts: undefined,
  devDependencies: undefined,
  ...named({ description, capabilities, contributes }, false),
  l10n: './client/l10n',
};
// The severities by the names of the findings, so that the editor shows them as a form and knows a wrong one.
const names = JSON.parse(await readFile(path.join(root, 'dist/findings.json'), 'utf8'));
const severities = packed.contributes.configuration.properties['plugward.severities'];
const { enum: levels } = severities.additionalProperties;
const level = (words) => ({ type: 'string', enum: levels, ...words });
severities.properties = Object.fromEntries(
  names.known.en.map(({ id }) => [id, level({ description: `%finding-${id}%` })]),
);
severities.patternProperties = Object.fromEntries(
  names.renamed.en.map(({ id }) => [`^${id}$`, level({ deprecationMessage: `%finding-${id}%` })]),
);
severities.additionalProperties = false;
/** What the manifest says of the findings, in a language. */
const ofFindings = (language) =>
  Object.fromEntries(
    [...names.known[language], ...names.renamed[language]].map(({ id, title }) => [`finding-${id}`, title]),
  );

// All that lies here is packed; without a list the packager would warn.
await writeFile(path.join(out, '.vscodeignore'), '');
const write = (file, value) => writeFile(path.join(out, file), JSON.stringify(value));
await write('package.json', packed);
await write('package.nls.json', { ...english, ...ofFindings('en') });
await mkdir(path.join(out, 'client/l10n'), { recursive: true });
for (const name of (await readdir(words)).filter((file) => file.endsWith('.yaml'))) {
  const language = path.basename(name, '.yaml');
  const catalogue = parse(await readFile(path.join(words, name), 'utf8'), { uniqueKeys: true });
  const inManifest = Object.entries(english).map(([key, text]) => [key, catalogue[text] ?? text]);
  await write(`package.nls.${language}.json`, { ...Object.fromEntries(inManifest), ...ofFindings(language) });
  await write(`client/l10n/bundle.l10n.${language}.json`, catalogue);
}

// The editor's page of an extension shows no pictures by their path, and ours lie at no address: they go into its text.
const readme = path.join(out, 'README.md');
const text = await readFile(readme, 'utf8');
const pictures = new Set([...text.matchAll(/\]\((client\/media\/[\w-]+\.webp)\)/g)].map(([, file]) => file));
let drawn = text;
for (const file of pictures) {
  const data = (await readFile(path.join(root, file))).toString('base64');
  drawn = drawn.replaceAll(`](${file})`, `](data:image/webp;base64,${data})`);
  // The walkthrough shows some of them as well, from their files.
  if (!JSON.stringify(packed).includes(file)) await rm(path.join(out, file));
}
await writeFile(readme, drawn);
