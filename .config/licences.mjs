// The licences of what the bundles hold, out of what the bundler says it put in.
import { readdir, readFile } from 'node:fs/promises';
import path from 'node:path';

/** Packages whose code stands inside the published file of another, which does not bring their licence. */
const embedded = {
  'vscode-uri': [{ name: 'path-browserify', version: '1.0.1', license: 'MIT' }],
};

/**
 * @param {readonly { inputs: Record<string, unknown> }[]} metafiles as esbuild writes them
 * @returns the text of THIRD-PARTY.md; throws when a package has no licence text
 */
export async function thirdParty(root, metafiles) {
  const folders = new Set();
  for (const { inputs } of metafiles) {
    for (const file of Object.keys(inputs)) {
      const found = /^(.*node_modules\/(?:@[^/]+\/)?[^/]+)\//.exec(file);
      if (found) folders.add(found[1]);
    }
  }
  const packages = await Promise.all([...folders].map((folder) => licenceOf(path.join(root, folder))));
  for (const inside of packages.flatMap(({ name }) =>
    Object.hasOwn(embedded, name) ? embedded[name] : [],
  )) {
    const file = path.join(root, '.config/embedded', `${inside.name}.LICENSE`);
    packages.push({ ...inside, text: (await readFile(file, 'utf8')).trim() });
  }
  packages.sort((a, b) => a.name.localeCompare(b.name));
  const parts = packages.map(
    ({ name, version, license, text }) =>
      `## ${name} ${version} (${license})\n\n\`\`\`text\n${text}\n\`\`\`\n`,
  );
  return `# Packages bundled with Plugward\n\n${parts.join('\n')}`;
}

async function licenceOf(folder) {
  const { name, version, license } = JSON.parse(await readFile(path.join(folder, 'package.json'), 'utf8'));
  const file = (await readdir(folder)).find((one) => /^(licen[cs]e|copying)/i.test(one));
  if (!file || !license) throw new Error(`${name} ${version} shows no licence`);
  return { name, version, license, text: (await readFile(path.join(folder, file), 'utf8')).trim() };
}
