import {
  mkdirSync,
  mkdtempSync,
  readFileSync,
  realpathSync,
  renameSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { checkBatch } from '../../../server/src/cli/batch.ts';
import type { Batch } from '../../../server/src/cli/batch.ts';
import { FindingsCache } from '../../../server/src/cli/known-findings.ts';
import type { CachePlace } from '../../../server/src/cli/known-findings.ts';
import { listings } from '../../../server/src/cli/listing.ts';
import type { ListingOptions } from '../../../server/src/cli/listing.ts';
import { findTargets } from '../../../server/src/cli/targets.ts';
import type { Settings } from '../../../server/src/features/check.ts';
import type { Random } from '../fuzz/random.ts';

const samples = path.resolve(import.meta.dirname, '../../../samples');
const shared = [
  'harbour-lane.rate-sheet.yaml',
  'kestrel.connector-list.yaml',
  'isolate.shop-procedure.yaml',
  're-energise.shop-procedure.yaml',
];
const photos = ['lamp.jpg', 'seat.png'];
const evidence = `evidence:\n${photos.map((name, i) => `  - { id: F${i}, photo: ./${name}, of: a part, taken: 2027-01-11 }\n`).join('')}`;

const sample = (name: string): string => readFileSync(path.join(samples, name), 'utf8');
const faulty = sample('quarter-panel-faulty.repair-plan.yaml').replace(/^evidence:\n/m, evidence);

/** Two plans, all that they use, and a list that one of these uses. */
const texts: Readonly<Record<string, string>> = {
  ...Object.fromEntries(shared.map((name) => [name, sample(name)])),
  'kestrel.connector-list.yaml': `${sample('kestrel.connector-list.yaml')}\nuses: [./more.connector-list.yaml]\n`,
  'more.connector-list.yaml':
    'connector-list: more\nconnectors:\n  - { id: rear-lamp, class: low-voltage, zone: quarter-left }\n',
  'a.repair-plan.yaml': faulty,
  'b.repair-plan.yaml': faulty.replace(/^plan: .*/m, 'plan: HL-OTHER'),
};

/** A way to change what a check rests on. */
type Act = (folder: string, random: Random) => void;

const anyOf = (random: Random, folder: string): string => path.join(folder, random.pick(Object.keys(texts)));

function rewrite(file: string, change: (text: string) => string): void {
  try {
    writeFileSync(file, change(readFileSync(file, 'utf8')));
  } catch {
    // It is not there just now.
  }
}

const acts: readonly Act[] = [
  // A line is taken out, doubled, or has a character more.
  (folder, random) =>
    rewrite(anyOf(random, folder), (text) => {
      const lines = text.split('\n');
      const at = random.below(lines.length);
      const line = lines[at]!;
      const kinds = [
        [],
        [line, line],
        [`${line} # x`],
        [line.replace(/\d/, (digit) => String((Number(digit) + 1) % 10))],
      ];
      return lines.toSpliced(at, 1, ...random.pick(kinds)).join('\n');
    }),
  // A word gets another letter: an id, a key or a task is misspelled.
  (folder, random) =>
    rewrite(anyOf(random, folder), (text) => {
      const at = random.below(text.length);
      return text.slice(0, at) + random.pick(['x', '', '\ufeff', '\r\n', ' ']) + text.slice(at + 1);
    }),
  (folder, random) => rmSync(anyOf(random, folder), { force: true }),
  // What was there comes back.
  (folder) => fill(folder),
  (folder, random) => {
    const file = anyOf(random, folder);
    const other = path.join(
      path.dirname(file),
      path
        .basename(file)
        .toUpperCase()
        .replace(/\..*/, (end) => end.toLowerCase()),
    );
    try {
      renameSync(file, other);
    } catch {
      // It is not there just now.
    }
  },
  (folder, random) => rmSync(path.join(folder, random.pick(photos)), { recursive: true, force: true }),
  (folder, random) => writeFileSync(path.join(folder, random.pick(photos)), '', { flag: 'a' }),
];

/** Writes all files as they are at first. */
function fill(folder: string): void {
  for (const [name, text] of Object.entries(texts)) writeFileSync(path.join(folder, name), text);
  for (const name of photos) {
    rmSync(path.join(folder, name), { recursive: true, force: true });
    writeFileSync(path.join(folder, name), '');
  }
}

/** How many answers came from a cache. */
let answered = 0;
const { find } = FindingsCache.prototype;
FindingsCache.prototype.find = async function (this: FindingsCache, ...asked) {
  const known = await find.apply(this, asked);
  if (known) answered++;
  return known;
};

/** What a run says. */
const said = ({ checked, trouble }: Batch): string => JSON.stringify([checked, trouble]);

/**
 * A folder of plans is checked with a cache and without, while texts, shared files, photographs, days, severities, languages
 * and forms of output change. Both must say the same each time.
 * @returns how many answers came from the cache
 */
export async function tryCached(random: Random): Promise<number> {
  const root = realpathSync(mkdtempSync(path.join(tmpdir(), 'plugward-')));
  const folder = path.join(root, 'plans');
  const cache: CachePlace = { folder: path.join(root, 'cache'), program: 'one' };
  mkdirSync(folder);
  mkdirSync(cache.folder);
  const look: ListingOptions = {
    prints: [{ format: 'human', colour: false, ascii: false }],
    cwd: folder,
    root: folder,
    width: 80,
    statistics: false,
    failOn: 'warning',
    language: undefined,
  };
  const before = answered;
  try {
    fill(folder);
    for (let round = 0; round < 12; round++) {
      if (random.below(4) > 0) random.pick(acts)(folder, random);
      const language = random.below(4) === 0 ? 'es' : undefined;
      const settings: Settings = {
        today: random.pick(['2027-02-10', '2027-02-10', '2027-02-11', '2029-01-01']),
        severities: random.below(5) === 0 ? { 'bare-connector': random.pick(['off', 'warning']) } : {},
        ...(language && { language }),
      };
      const now = {
        ...look,
        language,
        prints: [
          ...look.prints,
          ...(random.below(3) === 0 ? [{ ...look.prints[0]!, format: random.pick(listings) }] : []),
        ],
        width: random.pick([80, 80, 60]),
      };
      const targets = await findTargets(['.'], folder);
      const cached = said(await checkBatch(targets, now, settings, { jobs: 1, cache }));
      const fresh = said(await checkBatch(targets, now, settings, { jobs: 1 }));
      if (cached !== fresh) throw new Error(`round ${round}: the cache says ${cached}, and a check ${fresh}`);
    }
    return answered - before;
  } finally {
    rmSync(root, { recursive: true });
  }
}
