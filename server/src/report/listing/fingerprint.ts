import type { ListedFinding, Listing } from './listing.ts';

/** FNV-1a, 64 bits, over the UTF-8 bytes of `text`, as 16 hexadecimal digits. Not for secrets. */
export function fnv1a64(text: string): string {
  let hash = 0xcbf29ce484222325n;
  for (const byte of new TextEncoder().encode(text)) {
    hash = BigInt.asUintN(64, (hash ^ BigInt(byte)) * 0x100000001b3n);
  }
  return hash.toString(16).padStart(16, '0');
}

/**
 * Fingerprints that stay the same when lines are inserted, moved or re-indented: made of the finding, the
 * operation, the connector and the marked text with its white space evened out. Equal ones of one file are
 * told apart by counting them.
 */
export function fingerprints(listing: Pick<Listing, 'files' | 'sources'>): Map<ListedFinding, string> {
  const prints = new Map<ListedFinding, string>();
  for (const { findings } of listing.files) {
    const seen = new Map<string, number>();
    for (const found of findings) {
      const text = listing.sources.text(found.range.uri)?.slice(found.range.start, found.range.end) ?? '';
      const marked = text.replaceAll(/\s+/g, ' ').trim();
      const hash = fnv1a64([found.finding, found.operation ?? '', found.connector ?? '', marked].join('\0'));
      const nth = (seen.get(hash) ?? 0) + 1;
      seen.set(hash, nth);
      prints.set(found, `${hash}:${nth}`);
    }
  }
  return prints;
}
