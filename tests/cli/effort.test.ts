import { describe, expect, test } from 'vitest';
import { Effort } from '../../server/src/cli/effort.ts';

/** V8 is set anew at an eighth and at a quarter of a mebibyte of text, once each. */

const some = 128 * 1024;
const much = 256 * 1024;

function flagsAfter(v8: string, ...reads: number[]): string[] {
  const flags: string[] = [];
  const effort = new Effort((set) => void flags.push(...set.split(' ')), v8);
  for (const bytes of reads) effort.reads(bytes);
  return flags;
}

const ofSome = ['--sparkplug', '--regexp-tier-up-ticks=1', '--parallel-scavenge'];

describe.each([
  ['11.3.244.8-node.30', ['--interrupt-budget=1000000', '--semi-space-growth-factor=2']],
  ['12.4.254.21-node.33', ['--opt', '--semi-space-growth-factor=2']],
])('%s', (v8, ofMuch) => {
  const all = [...ofSome, ...ofMuch];
  test.each([
    ['little text', [some], []],
    ['some in one file', [some + 1], ofSome],
    ['some in two', [some, 1], ofSome],
    ['some in more', [some, 1, some - 1], ofSome],
    ['more in one file', [much + 1], all],
    ['more in two', [much, 1], all],
    ['much more', [much + 1, much + 1, much + 1], all],
  ])('%s', (_, reads, flags) => expect(flagsAfter(v8, ...reads)).toEqual(flags));
});

test.each(['11.3.244.8-node.30', '12.4.254.21-node.33'])(
  'code is kept under the flags that the next run starts with: %s',
  (v8) => {
    const flags = new Map<string, string>();
    const effort = new Effort((set) => {
      for (const flag of set.split(' ')) {
        const [name = '', value = ''] = flag
          .replace(/^--(no-)?(opt|sparkplug|parallel-scavenge)$/, '--$2=$1')
          .split('=');
        flags.set(name, value);
      }
    }, v8);
    effort.restore();
    const atFirst = new Map(flags);
    effort.startQuickly();
    expect(flags).not.toEqual(atFirst);
    effort.reads(much + 1);
    effort.restore();
    expect(flags).toEqual(atFirst);
  },
);
