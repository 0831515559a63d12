/** Fixes are tried on a copy of the plan before they are offered. */
import { diffLines } from 'diff';
import type { Edit } from '../text/span.ts';
import type { Fix } from '../findings/finding.ts';
import { findingById } from '../findings/registry.ts';
import { languageOf } from '../language/language.ts';
import { andList, say, uncapital } from '../language/phrase.ts';
import type { Plan } from '../plan/plan.ts';
import type { Workspace } from '../workspace/workspace.ts';
import { find, ranks } from './check.ts';
import type { Diagnosis, FoundFinding, Settings } from './check.ts';
import { linesFor } from './fix-lines.ts';

/** A verified fix: its result was parsed and checked again, its finding is gone, and it caused no other. */
export interface OfferedFix {
  readonly title: string;
  readonly finding: string;
  readonly safe: boolean;
  readonly edits: readonly Edit[];
  readonly diagnosis: Diagnosis;
}

/**
 * Findings that a new step may cause: what only the work itself can give (a reading, a photograph), what only the vehicle
 * maker can (a limit, a waiting time, the class of gloves, a measuring point), what the rate sheet lacks (a figure for a line, something to cover with),
 * and why this vehicle needs the work, where the shop asks for that.
 */
const owedLater: ReadonlySet<string> = new Set([
  'limit-missing',
  'gloves-unstated',
  'proof-place-unstated',
  'labour-missing',
  'material-missing',
  'reference-missing',
  'blank-to-fill',
  'claim-unsupported',
  'hours-unlike-planned',
  'cover-unnamed',
  'evidence-missing',
  'measurement-missing',
]);

const opens: ReadonlySet<string> = new Set(['not-reconnected', 'never-closed']);
/** Asked of a connector that is closed: mending one that stays open may reveal them. */
const owedOnceClosed: ReadonlySet<string> = new Set(['scan-missing', 'calibration-missing']);

/** What a fix takes away for the time of the work is given back before the vehicle is used: the lock comes off, 12 V comes on, the codes are read. */
const givenBack: readonly string[] = ['lock-left-on', 'supply-off', 'scan-stale'];

/**
 * Tries fixes out on `copy`, a copy of the files, which is left as it was. A fix that breaks the text, leaves its finding
 * or causes another one is not offered. One that writes work brings the labour and material lines of that work.
 */
export class Trial {
  #before: readonly Diagnosis[] | undefined;
  /** The plan as it is before anything is tried. */
  readonly plan: Plan | undefined;

  constructor(
    readonly workspace: Workspace,
    readonly copy: Workspace,
    readonly uri: string,
    readonly settings: Settings,
    readonly found: readonly FoundFinding[],
  ) {
    this.plan = workspace.plan(uri, settings);
  }

  offer(found: FoundFinding, max = 4, wanted: (fix: Fix) => boolean = () => true): OfferedFix[] {
    const offered: OfferedFix[] = [];
    const { diagnosis } = found;
    for (const ways of this.plan ? found.fixes(this.plan) : []) {
      if (offered.length === max) break;
      for (const fix of [ways].flat()) {
        const held = fix && wanted(fix) && fix.edits.length > 0 ? this.#hold(fix, diagnosis) : undefined;
        if (!fix || !held) continue;
        const { title, edits } = held;
        offered.push({
          title: title.in(languageOf(this.settings.language)),
          finding: diagnosis.finding,
          safe: fix.safe,
          edits,
          diagnosis,
        });
        break;
      }
    }
    return offered;
  }

  /** The fix with what it has to give back and its lines, or nothing where it does not hold. */
  #hold({ title, safe, edits }: Fix, mended: Diagnosis): Pick<Fix, 'title' | 'edits'> | undefined {
    const { copy, uri } = this;
    const back: (readonly Edit[])[] = [];
    const titles = [title];
    try {
      back.push(copy.edit(uri, edits));
      let after = this.#findings();
      for (const finding of safe ? [] : givenBack) {
        const more = this.#givingBack(finding, after, mended);
        if (!more) continue;
        back.push(copy.edit(uri, more.edits));
        titles.push(uncapital(more.title));
        after = this.#findings();
      }
      const found = after.map(({ diagnosis }) => diagnosis);
      const lines = safe ? [] : linesFor(this.plan!, copy.plan(uri, this.settings)!, found);
      if (lines.length > 0) {
        back.push(copy.edit(uri, lines));
        after = this.#findings();
      }
      if (!this.#holds(after, mended)) return undefined;
      if (back.length === 1) return { title, edits };
      const whole = andList(titles);
      return {
        title: lines.length > 0 ? say`${whole}, with its lines` : whole,
        edits: difference(uri, this.workspace.text(uri)!, copy.text(uri)!),
      };
    } catch (error) {
      if (error instanceof RangeError) return undefined;
      throw error;
    } finally {
      for (const edits of back.reverse()) copy.edit(uri, edits);
    }
  }

  #findings(): readonly FoundFinding[] {
    return find(this.copy, this.uri, this.settings);
  }

  get #foundBefore(): readonly Diagnosis[] {
    return (this.#before ??= this.found.map(({ diagnosis }) => diagnosis));
  }

  /** The fix of a finding that a fix has caused by what it takes away. */
  #givingBack(finding: string, after: readonly FoundFinding[], mended: Diagnosis): Fix | undefined {
    const caused = after.find(
      ({ diagnosis }) => diagnosis.finding === finding && isCaused(diagnosis, this.#foundBefore, mended),
    );
    const plan = caused && this.copy.plan(this.uri, this.settings);
    return (
      plan &&
      caused
        .fixes(plan)
        .flat()
        .find((fix) => fix !== undefined && fix.edits.length > 0)
    );
  }

  #holds(found: readonly FoundFinding[], mended: Diagnosis): boolean {
    const before = this.#foundBefore;
    const after = found.map(({ diagnosis }) => diagnosis);
    const gone = count(after, keyOf(mended)) < count(before, keyOf(mended));
    return gone && !after.some((one) => isCaused(one, before, mended));
  }
}

/** Whether mending `mended` has caused a finding. */
function isCaused(diagnosis: Diagnosis, before: readonly Diagnosis[], mended: Diagnosis): boolean {
  if (owedLater.has(diagnosis.finding)) return false;
  if (isKnown(diagnosis, before)) return false;
  // Mending a typing mistake may reveal findings it hid, but it must not cause new syntax or name errors.
  if (isWriting(mended)) return diagnosis.severity === 'error' && isWriting(diagnosis);
  // The history of a connector is not judged while its order is unclear.
  if (mended.finding === 'order-unclear' || diagnosis.severity === 'error')
    return diagnosis.severity === 'error';
  return !(opens.has(mended.finding) && owedOnceClosed.has(diagnosis.finding));
}

const isWriting = ({ finding }: Diagnosis): boolean =>
  ['text', 'names'].includes(findingById.get(finding)?.ground ?? 'text');

/** Whether a finding was there before, at the same step and connector or as part of a group that named them. */
const isKnown = (diagnosis: Diagnosis, before: readonly Diagnosis[]): boolean =>
  before.some(
    (known) =>
      causeOf(known) === causeOf(diagnosis) &&
      ranks[known.severity] >= ranks[diagnosis.severity] &&
      (diagnosis.operation || diagnosis.connector
        ? isAbout(known, diagnosis.operation) && isAbout(known, diagnosis.connector)
        : known.message === diagnosis.message),
  );

/** Opening and other work on a system that may be live are two findings about one cause. */
const causeOf = ({ finding }: Diagnosis): string => (finding === 'live-opening' ? 'live-work' : finding);

function isAbout({ operation, connector, also, message, trace }: Diagnosis, id: string | undefined): boolean {
  if (id === undefined || id === operation || id === connector || also?.includes(id)) return true;
  return [message, ...trace.map((entry) => entry.message)].some((text) => isNamedIn(text, id));
}

/** Whether a text names an id, and not a longer one that contains it. */
function isNamedIn(text: string, id: string): boolean {
  const inWord = (character: string | undefined): boolean =>
    character !== undefined && /[\p{L}\p{N}_/-]/u.test(character);
  for (let at = text.indexOf(id); at >= 0; at = text.indexOf(id, at + 1)) {
    if (!inWord(text[at - 1]) && !inWord(text[at + id.length])) return true;
  }
  return false;
}

/** Identity of a finding independent of its position. */
const keyOf = ({ finding, operation, connector, message }: Diagnosis): string =>
  `${finding} ${operation ?? ''} ${connector ?? ''} ${operation || connector ? '' : message}`;

const count = (diagnoses: readonly Diagnosis[], key: string): number =>
  diagnoses.filter((diagnosis) => keyOf(diagnosis) === key).length;

/** The edits, line by line, that lead from one text to another: cursors and folds elsewhere stay where they are. */
export function difference(uri: string, before: string, after: string): Edit[] {
  const edits: { uri: string; start: number; end: number; text: string }[] = [];
  let at = 0;
  let fresh = true;
  for (const { value, added, removed } of before === after ? [] : diffLines(before, after)) {
    if (!added && !removed) {
      at += value.length;
      fresh = true;
      continue;
    }
    if (fresh) edits.push({ uri, start: at, end: at, text: '' });
    fresh = false;
    const edit = edits.at(-1)!;
    if (added) edit.text += value;
    else {
      at += value.length;
      edit.end = at;
    }
  }
  return edits;
}
