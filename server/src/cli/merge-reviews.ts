import Big from 'big.js';
import { caution } from '../features/caution.ts';
import { languageOf } from '../language/language.ts';
import { filesText } from '../report/listing/human.ts';
import type { ShownShard } from '../report/listing/listing.ts';
import type { FolderEntry, FolderTexts } from '../report/print/folder-entry.ts';
import { folderPage } from '../report/print/folder-review.ts';
import type { FolderPart } from '../report/print/folder-review.ts';
import { filesInOrder, placesOf, unreadOf } from './parts.ts';
import type { Part } from './parts.ts';

/** A part of the review of a folder: what its page is made from, file by file. */
export interface ReviewPart {
  readonly shard: ShownShard;
  readonly review: {
    /** `null`: named by how many files there are. */
    readonly title: string | null;
    readonly only: readonly FolderPart[] | null;
    readonly language: string | null;
  };
  readonly unread: readonly { readonly file: string; readonly reason: string }[];
  /** Of every file that was read, in their order. */
  readonly entries: readonly { readonly entry: FolderEntry; readonly texts: FolderTexts }[];
}

export function mergeReviews(parts: readonly Part<ReviewPart>[]): {
  readonly text: string;
  readonly code: number;
} {
  const files = filesInOrder(parts.map(({ content, ...part }) => ({ ...part, entries: content.entries })));
  const placeOf = placesOf(parts);
  const unread = unreadOf(
    parts.map(({ path, content }) => ({ path, unread: content.unread })),
    ({ file }) => placeOf(file),
  ).map(({ file, reason }) => ({ uri: file, reason }));
  const texts = new Map<FolderEntry, FolderTexts>();
  for (const { entry, texts: own } of files.flatMap(({ entries }) => entries)) {
    // Decimals are texts in JSON.
    const stake = entry.stake && { ...entry.stake, amount: Big(entry.stake.amount) };
    texts.set({ ...entry, stake }, own);
  }
  const [{ shard, content }] = parts as [Part<ReviewPart>];
  const { title, only, language: tag } = content.review;
  const language = tag ?? undefined;
  const name = title ?? filesText(texts.size).in(languageOf(language));
  const page = folderPage(
    { name, entries: [...texts.keys()], unread, ...(only && { only }) },
    {
      today: shard.today,
      caution,
      language,
      name: (file) => file,
      sources: { text: () => undefined, lines: () => undefined },
    },
  );
  const text = [...page].map((piece) =>
    typeof piece === 'string' ? piece : texts.get(piece.entry)![piece.text],
  );
  return { text: text.join(''), code: unread.length > 0 ? 2 : 0 };
}
