import { fileName } from '../base/file-name.ts';
import type { Comparison } from '../compare/compare.ts';
import type { Phrase } from '../language/phrase.ts';
import { estimate } from '../report/print/estimate.ts';
import { jobCard } from '../report/print/job-card.ts';
import { photoLimits, photosOf, tooLargePhoto, tooManyPhotos } from '../report/print/photos.ts';
import type { PhotoFiles } from '../report/print/photos.ts';
import { owedPage } from '../report/print/owed.ts';
import { reasonsPage } from '../report/print/reasons.ts';
import { review } from '../report/print/review.ts';
import { supplement } from '../report/print/supplement.ts';
import type { Workspace } from '../workspace/workspace.ts';
import { caution } from './caution.ts';
import { check } from './check.ts';
import type { Settings } from './check.ts';
import { comparisonWith } from './comparison.ts';
import type { OldVersion } from './comparison.ts';

export type PrintKind = 'job-card' | 'estimate' | 'review' | 'supplement' | 'reasons' | 'owed';

/** The photographs that were read, by URI: the bytes, or that there were too many. */
export type Photos = ReadonlyMap<string, Uint8Array | 'large' | undefined>;

export interface Print {
  /** A whole page that needs nothing else. */
  readonly html: string;
  /** A name for its file. */
  readonly name: string;
}

/** The photographs that the payer's prints of a plan show, one after the other, with how many bytes each may have. */
export function* photosWanted(
  workspace: Workspace,
  uri: string,
  read: Photos,
): Generator<{ readonly uri: string; readonly max: number }> {
  const plan = workspace.plan(uri);
  for (const photo of plan ? photosOf(plan) : []) {
    if (photo.uri === undefined || read.has(photo.uri)) continue;
    yield { uri: photo.uri, max: Math.min(photoLimits.one, photoLimits.all - sizeOf(read)) };
  }
}

const sizeOf = (read: Photos): number =>
  [...read.values()].reduce((sum, one) => sum + (one instanceof Uint8Array ? one.length : 0), 0);

/**
 * A plan as a page to print; undefined for a file that is no plan, for a kind of print that there is none of, and for a
 * supplement to a version that cannot be compared.
 * @param old the version that a supplement is formed from
 */
export function print(
  workspace: Workspace,
  uri: string,
  kind: PrintKind,
  settings: Settings & { readonly today: string },
  photos: Photos,
  old?: OldVersion,
): Print | undefined {
  const plan = workspace.plan(uri, settings);
  if (plan?.document.kind !== 'repair-plan') return undefined;
  const findings = check(workspace, uri, settings);
  const errors = findings.filter(({ severity }) => severity === 'error').length;
  const { today, language } = settings;
  const options = { today, caution, language };
  const comparison = kind === 'supplement' && old && comparisonWith(old, workspace, uri, settings);
  if (kind === 'supplement' && !comparison) return undefined;
  const pages: Readonly<Record<PrintKind, () => string>> = {
    'job-card': () => jobCard(plan, { ...options, errors, findings }),
    estimate: () => estimate(plan, { ...options, errors, photos: shown(photos) }),
    supplement: () =>
      supplement(comparison as Comparison, {
        ...options,
        photos: shown(photos),
        old: old!.name,
        new: fileName(uri),
      }),
    reasons: () => reasonsPage(plan, { ...options, photos: shown(photos) }),
    owed: () => owedPage(plan, options),
    review: () => review({ plan, findings }, { ...options, sources: workspace, name: fileName }),
  };
  if (!Object.hasOwn(pages, kind)) return undefined;
  return { html: pages[kind](), name: fileName(uri).replace(/(\.repair-plan)?\.ya?ml$/, `.${kind}.html`) };
}

/** The same with a reason for each that is not shown; where there is none, the print has its own words. */
function shown(read: Photos): PhotoFiles {
  const files = new Map<string, Uint8Array | Phrase>();
  let left: number = photoLimits.all;
  for (const [uri, one] of read) {
    if (one instanceof Uint8Array) left -= one.length;
    if (one !== undefined)
      files.set(uri, one === 'large' ? (left < photoLimits.one ? tooManyPhotos : tooLargePhoto) : one);
  }
  return files;
}
