/**
 * What is told of the plans of other tests, and of variants of them with one or two things changed, frozen as text. It says
 * nothing about what is right: fixtures, published checks and laws do that. It shows every difference, so that whoever changes a
 * finding sees in the diff where else something is told, and judges it. `npx vitest -u` freezes anew.
 *
 * `op30 out => +bare-connector! op20 inverter-dc -late-cover op30 #3f2a`: without op30, this error is told more than of the plan
 * as it is, and this warning no longer; `~` stands before what is told in other words, with other traces or fixes, `?` behind
 * information. What is worked out beside findings (bill, heat, order, facts, times) is named where no finding differs. The four
 * digits stand for all words that differ.
 */
import { kindOf } from '../../server/src/document/kind.ts';
import type { Settings } from '../../server/src/features/check.ts';
import { builtInTasks } from '../../server/src/plan/tables/tasks.ts';
import { Workspace } from '../../server/src/workspace/workspace.ts';
import { edgesOf, parsed, valuesIn } from './edges.ts';
import { inside, joined, peopleIn } from './joined.ts';
import { differenceOf, digest, heatPagesOf, sumOf, summaryOf, toldOf } from './told.ts';
import type { Told } from './told.ts';
import { rank, variantsOf } from './variants.ts';
import type { Names, Variant } from './variants.ts';

/** A text of a test, with the files around it. */
export interface Source {
  readonly name: string;
  readonly file: string;
  readonly text: string;
  readonly files: Readonly<Record<string, string>>;
  readonly settings: Settings;
}

const folder = 'file:///plans/';
/** Zones that the texts use, beside those that they add. */
const zones = ['rear-floor', 'quarter-left', 'cabin', 'underbody', 'motor-bay', 'luggage-space'];

interface Named {
  readonly id?: unknown;
}
/** The names that the files of a text give. */
function namesIn(texts: readonly string[]): Names {
  const names: Record<string, string[]> = {
    tasks: [...builtInTasks.keys()],
    zones: [...zones],
    procedures: [],
  };
  for (const text of texts) {
    const read = parsed(text);
    if (typeof read !== 'object' || read === null) continue;
    for (const [section, list] of Object.entries(read)) {
      if (section === 'procedure') names['procedures']!.push(String(list));
      for (const one of Array.isArray(list) ? (list as (Named | null)[]) : [])
        if (typeof one?.id === 'string') (names[section] ??= []).push(one.id);
    }
  }
  return names;
}

/** How many variants of a text are told. */
export interface Counts {
  /** With one change. */
  readonly single: number;
  /** With two. */
  readonly double: number;
  /** With one change that brings it to where the program compares or counts; an eighth as many with two. */
  readonly edges: number;
  /** With one change in a file that the text alone brings, of either sort. */
  readonly around: number;
}

/** The shop in which one text after the other is typed. */
export class Corpus {
  readonly #workspace = new Workspace();
  #around: readonly string[] = [];

  /**
   * What is told of a text, and of variants of it.
   * @param own files that the text alone brings; they are varied too
   * @param next a text that is also written behind it
   */
  tell(
    source: Source,
    { single, double, edges, around }: Counts,
    own: readonly string[] = [],
    next?: Source,
  ): string {
    const { name, file, text, files } = source;
    this.#open({ ...next?.files, ...files, [file]: text });
    const used = Object.keys(files).filter((one) => one === file || text.includes(`./${one}`));
    const texts = [text, ...used.map((one) => files[one]!)];
    const names = namesIn(texts);
    const kinds = [file, ...used].map((one) => kindOf(folder + one));
    const values = valuesIn(
      texts.flatMap((one, i) => (kinds[i] ? [[kinds[i], one] as const] : [])),
      source.settings.today ?? '',
    );
    const told = this.#toldOf(source);
    const lines = [`# ${name}`, `as it is: ${summaryOf(told)}`];
    const pages = heatPagesOf(this.#workspace, folder + file, source.settings);
    if (pages !== '') lines.push(`heat in words: #${digest(pages)}`);
    const silent: string[] = [];
    const vary = (changed: string, variant: Variant): void => {
      this.#workspace.set(folder + changed, variant.text);
      this.#settle();
      const difference = differenceOf(told, this.#toldOf(source));
      if (difference === undefined) silent.push(variant.name);
      else lines.push(`${variant.name} => ${difference}`);
    };
    const kind = kindOf(folder + file);
    if (kind) {
      for (const one of variantsOf(kind, text, names, single, name)) vary(file, one);
      for (const one of variantsOf(kind, text, names, double, `${name} twice`)) {
        const [other] = variantsOf(kind, one.text, names, 1, `${name} ${one.name}`);
        if (other) vary(file, { name: `${one.name} & ${other.name}`, text: other.text });
      }
      const all = edgesOf(kind, text, { names, values }, edges + (edges >> 3), `${name} edges`);
      for (const one of all.slice(0, edges)) vary(file, one);
      for (const one of all.slice(edges)) {
        const [other] = edgesOf(kind, one.text, { names, values }, 1, `${name} ${one.name}`);
        if (other) vary(file, { name: `${one.name} & ${other.name}`, text: other.text });
      }
    }
    if (next && kind === 'repair-plan')
      lines.push(...this.#behind(source, told, `then ${next.name}`, joined(text, next.text)));
    if (edges > 0 && kind === 'repair-plan')
      lines.push(...this.#again(source, told), ...this.#inProcedure(source));
    this.#workspace.set(folder + file, text);
    for (const one of own) {
      const kindOfOne = kindOf(folder + one);
      const ofOne = kindOfOne
        ? [
            ...variantsOf(kindOfOne, files[one]!, names, around, name),
            ...edgesOf(kindOfOne, files[one]!, { names, values }, Math.ceil(around / 2), `${name} edges`),
          ]
        : [];
      for (const variant of ofOne) vary(one, variant);
      this.#workspace.set(folder + one, files[one]!);
    }
    if (silent.length > 0) lines.push(`nothing else: ${silent.join(' | ')}`);
    return lines.join('\n');
  }

  #behind(source: Source, told: Told, words: string, both: string | undefined): string[] {
    if (both === undefined) return [];
    this.#workspace.set(folder + source.file, both);
    this.#settle();
    return [`${words}: ${sumOf(told, this.#toldOf(source))}`];
  }

  /** A long plan, in which the same is done again and again, or one in which others do it again. */
  #again(source: Source, told: Told): string[] {
    const { name, text } = source;
    const turn = rank(name) % 3;
    const twice = turn === 0 ? joined(text, text) : undefined;
    if (twice !== undefined) return this.#behind(source, told, 'three times', joined(text, twice));
    return turn === 1 ? this.#behind(source, told, 'then by others', joined(text, text, peopleIn(text))) : [];
  }

  #inProcedure(source: Source): string[] {
    const part = rank(`${source.name} inside`) % 2 === 0 ? 0 : 0.5;
    const moved = inside(source.text, 'inside', part);
    if (!moved) return [];
    const uri = `${folder}inside.shop-procedure.yaml`;
    this.#workspace.set(uri, moved.procedure);
    this.#workspace.set(folder + source.file, moved.plan);
    this.#settle();
    const words = part === 0 ? 'all steps' : 'the later steps';
    const line = `${words} in a procedure: ${summaryOf(this.#toldOf(source))}`;
    this.#workspace.remove(uri);
    return [line];
  }

  #toldOf({ file, settings }: Source): Told {
    return toldOf(this.#workspace, folder + file, settings);
  }

  #open(files: Readonly<Record<string, string>>): void {
    const texts = Object.entries(files).map(([name, one]) => [folder + name, one] as const);
    for (const gone of this.#around.filter((uri) => !texts.some(([one]) => one === uri)))
      this.#workspace.remove(gone);
    for (const [uri, one] of texts) if (this.#workspace.text(uri) !== one) this.#workspace.set(uri, one);
    this.#around = texts.map(([uri]) => uri);
    this.#settle();
  }

  /** Tells what is there of what the files name. */
  #settle(): void {
    for (let uris = this.#workspace.missingFiles(); uris.length > 0; uris = this.#workspace.missingFiles())
      for (const uri of uris) this.#workspace.markAbsent(uri);
    for (const uri of this.#workspace.unknownPhotos())
      this.#workspace.markPhoto(uri, uri === `${folder}photos/op30.jpg`);
  }
}
