import { setFlagsFromString } from 'node:v8';

/**
 * How much V8 lets the heap grow between collections. By itself it takes four times what is in use before it looks for
 * garbage, since it cannot know that a language server is idle most of the time. Peaks of resident memory in short runs of
 * the bench's scripts: 122 → 79 MiB on a plan of 200 lines, 186 → 96 MiB at 2,000 for about a third more time a key, and
 * 534 → about 300 MiB at 20,000. A whole run peaks higher: tests/bench/results.md.
 */
export function keepHeapSmall(): void {
  setFlagsFromString('--heap-growing-percent=40');
  setFlagsFromString('--semi-space-growth-factor=1');
}

/** Of a text of so many characters the garbage of an edit does not fit into the smallest nursery, and would be kept. */
const large = 400_000;

/** Gives objects more room once a large text is open. */
export function makeRoom(characters: number): void {
  if (characters <= large) return;
  setFlagsFromString('--heap-growing-percent=80');
  setFlagsFromString('--semi-space-growth-factor=2');
}
