// Prints every sheet of the samples as a printer would, in every language, on A4 and on Letter, and lays the pages out as
// pictures in dist/prints, to be looked at. Other plans or folders may be named instead; the sample in Spanish is printed in
// Spanish, as in Spain and as in Mexico. Needs Chromium, and poppler's `pdftoppm` or Ghostscript.
import { execFileSync } from 'node:child_process';
import { mkdirSync, readdirSync, rmSync, statSync } from 'node:fs';
import path from 'node:path';
import { pathToFileURL } from 'node:url';
import { chromium } from 'playwright-core';

const root = path.resolve(import.meta.dirname, '..');
const out = path.join(root, 'dist/prints');
const papers = ['A4', 'Letter'];
/** Not before the last day of the story. */
const today = '2026-10-20';
const languages = ['en', 'es'];

const given = process.argv.slice(2);
const targets = given.length > 0 ? given : [path.join(root, 'samples')];
const isFolder = (target) => statSync(target).isDirectory();
const plansOf = (target) =>
  isFolder(target)
    ? readdirSync(target)
        .filter((name) => /\.repair-plan\.ya?ml$/.test(name))
        .map((name) => path.join(target, name))
    : [target];

/** One sheet as the command line writes it in a language, of a plan or of two versions; its file. */
function sheet(language, kind, ...versions) {
  const name = path.basename(versions.at(-1)).replace(/\.repair-plan\.ya?ml$/, '');
  const file = path.join(out, `${name}.${kind}.${language}.html`);
  const cli = path.join(root, 'dist/cli.js');
  const options = ['--today', today, '--language', language, '-o', file];
  execFileSync(process.execPath, [cli, 'report', kind, ...versions, ...options], {
    stdio: ['ignore', 'inherit', 'inherit'],
  });
  return file;
}

/** What a Spanish-speaking shop prints, in one region. */
const spanishSheets = (language) =>
  plansOf(path.join(root, 'samples/es')).flatMap((plan) =>
    ['job-card', 'estimate', 'review', 'reasons', 'owed'].map((kind) => sheet(language, kind, plan)),
  );

/** Everything in one language. */
function sheetsIn(language) {
  const files = targets.flatMap((target) => [
    ...plansOf(target).flatMap((plan) =>
      ['job-card', 'estimate', 'review', 'reasons', 'owed'].map((kind) => sheet(language, kind, plan)),
    ),
    ...(isFolder(target) ? [sheet(language, 'review', target)] : []),
  ]);
  if (given.length > 0) return files;
  const story = plansOf(path.join(root, 'samples/story')).sort();
  for (let at = 1; at < story.length; at++)
    files.push(sheet(language, 'supplement', story[at - 1], story[at]));
  files.push(sheet(language, 'reasons', story.at(-1)), sheet(language, 'owed', story[0]));
  return files;
}

rmSync(out, { recursive: true, force: true });
mkdirSync(out, { recursive: true });
const files = [
  ...languages.flatMap(sheetsIn),
  ...(given.length > 0 ? [] : ['es', 'es-MX'].flatMap(spanishSheets)),
];

/** The pages of a PDF as pictures. */
function rasterize(pdf) {
  const name = pdf.replace(/\.pdf$/, '');
  try {
    execFileSync('pdftoppm', ['-r', '80', '-png', pdf, name]);
  } catch (error) {
    if (error.code !== 'ENOENT') throw error;
    const look = ['-q', '-dBATCH', '-dNOPAUSE', '-sDEVICE=png16m', '-r80', '-dTextAlphaBits=4'];
    execFileSync('gs', [...look, `-sOutputFile=${name}-%d.png`, pdf]);
  }
}

const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
  args: ['--no-sandbox', '--disable-gpu', '--disable-dev-shm-usage'],
});
try {
  const page = await browser.newPage();
  for (const file of files) {
    await page.goto(pathToFileURL(file).href);
    for (const format of papers) {
      const pdf = file.replace(/html$/, `${format}.pdf`);
      await page.pdf({ path: pdf, format, preferCSSPageSize: false, printBackground: false });
      rasterize(pdf);
    }
  }
} finally {
  await browser.close();
}
const pages = readdirSync(out).filter((name) => name.endsWith('.png')).length;
console.log(`${files.length} sheets, ${pages} pages in dist/prints`);
