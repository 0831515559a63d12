/** What tells a page of ours from one that somebody wrote: its `<meta name="generator">`. */
export const generator = 'Plugward';

/** The first line of the estimate as comma-separated values. */
export const estimateColumns = [
  'plan',
  'kind',
  'operations',
  'work or item',
  'basis',
  'reference',
  'rate',
  'quantity',
  'unit',
  'price each',
  'amount',
  'currency',
  'remark',
  'photos',
  'connectors',
  'reason',
] as const;

/**
 * Whether a file that begins so is a print of ours, of any format that carries a mark. A text for a terminal carries
 * none, so it is taken for somebody's own.
 */
export function isPrint(beginning: string): boolean {
  const text = beginning.replace(/^\ufeff/, '');
  return (
    (/^<!doctype html>/i.test(text) && text.includes(`<meta name="generator" content="${generator}"`)) ||
    /^<svg [^>]*><svg [^>]*class="plugward-heat"/.test(text) ||
    /^\{\s*"tool":\s*\{\s*"name":\s*"plugward"/.test(text) ||
    /^\{[^]*"driver":\s*\{\s*"name":\s*"Plugward"/.test(text) ||
    /^<\?xml [^>]*>\n<testsuites name="plugward" /.test(text) ||
    // A code quality report without an entry holds nothing that could be lost.
    /^\[(?:\]\s*$|\s*\{\s*"engine_name": "plugward")/.test(text) ||
    text.startsWith(estimateColumns.join(','))
  );
}
