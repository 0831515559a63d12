/** One place of a phrase: what may stand there, each as its words. */
interface Slot {
  readonly options: readonly (readonly string[])[];
  readonly isOptional: boolean;
}

/**
 * A table of what names may speak of, written as a text: phrases stand between bars, `hood/bonnet` is either word, `[de/del]` one of them or
 * none, `bag(s)` a word with the ending or without, `air-bag` the same in one word or in two, and `izq*` any word that begins
 * so. A pattern of that size takes milliseconds and a megabyte before it is first tried; a table is read in a tenth of that.
 */
export class WordTable {
  readonly #table: string;
  /** Phrases by the words that they may begin with. */
  #byFirst: ReadonlyMap<string, readonly (readonly Slot[])[]> | undefined;

  constructor(table: string) {
    this.#table = table;
  }

  /**
   * Whether one of its phrases stands in a name.
   * @param words of the name, each with a single space before the next
   */
  isIn(words: string): boolean {
    this.#byFirst ??= readTable(this.#table);
    const all = words.split(' ');
    return all.some((word, at) => this.#byFirst!.get(word)?.some((phrase) => standsAt(all, at, phrase, 0)));
  }
}

function readTable(table: string): ReadonlyMap<string, readonly (readonly Slot[])[]> {
  const byFirst = new Map<string, (readonly Slot[])[]>();
  for (const text of table.split('|')) {
    const phrase = text.trim().split(/\s+/).map(slotOf);
    const first = phrase[0]!;
    if (first.isOptional) throw new Error(`a phrase begins with a word that may be missing: ${text}`);
    for (const word of new Set(first.options.map(([one]) => one!))) {
      const known = byFirst.get(word);
      if (known) known.push(phrase);
      else byFirst.set(word, [phrase]);
    }
  }
  return byFirst;
}

function slotOf(text: string): Slot {
  const isOptional = text.startsWith('[');
  const options = (isOptional ? text.slice(1, -1) : text)
    .split('/')
    .flatMap((word) => {
      const [, stem, ending] = /^(.*)\((\w+)\)$/.exec(word) ?? [];
      return stem === undefined ? [word] : [stem, `${stem}${ending}`];
    })
    .flatMap((word) => (word.includes('-') ? [[word.replaceAll('-', '')], word.split('-')] : [[word]]));
  return { options, isOptional };
}

/** Whether the slots of a phrase from one on are filled by the words from one on. */
function standsAt(words: readonly string[], at: number, phrase: readonly Slot[], from: number): boolean {
  const slot = phrase[from];
  if (slot === undefined) return true;
  return (
    slot.options.some(
      (option) =>
        option.every((word, i) => fits(words[at + i], word)) &&
        standsAt(words, at + option.length, phrase, from + 1),
    ) ||
    (slot.isOptional && standsAt(words, at, phrase, from + 1))
  );
}

const fits = (word: string | undefined, wanted: string): boolean =>
  wanted.endsWith('*') ? (word?.startsWith(wanted.slice(0, -1)) ?? false) : word === wanted;
