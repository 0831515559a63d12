import { setFlagsFromString } from 'node:v8';

/**
 * How much V8 lets the heap grow between collections, and how soon it compiles what runs often. By itself it takes four
 * times what is in use before it looks for garbage, since it cannot know that a language server is idle most of the time.
 * Peaks of resident memory in short runs of the bench's scripts: 122 → 77 MiB on a plan of 200 lines, 186 → 95 MiB at
 * 2,000 for a fifth more time a key, and 534 → about 270 MiB at 20,000. A whole run may peak higher: tests/bench/results.md.
 * Compiling takes memory and a processor as well: waiting four times as long for it saves another 4 MiB and a quarter of
 * the processor's time a key, and loses nothing.
 */
export function keepHeapSmall(): void {
  setFlagsFromString('--heap-growing-percent=50');
  setFlagsFromString('--semi-space-growth-factor=1');
  setFlagsFromString('--interrupt-budget=264000');
}
