import { describe, expect, test } from 'vitest';
import { Effort } from '../../server/src/cli/effort.ts';

/** V8 is set anew once, at a quarter of a mebibyte of text. */

const much = 256 * 1024;

function flagsAfter(v8: string, ...reads: number[]): string[] {
  const flags: string[] = [];
  const effort = new Effort((flag) => void flags.push(flag), v8);
  for (const bytes of reads) effort.reads(bytes);
  return flags;
}

describe.each([
  ['11.3.244.8-node.30', ['--interrupt-budget=1000000', '--semi-space-growth-factor=2']],
  ['12.4.254.21-node.33', ['--opt', '--semi-space-growth-factor=2']],
])('%s', (v8, all) => {
  test.each([
    ['little text', [much], []],
    ['more in one file', [much + 1], all],
    ['more in two', [much, 1], all],
    ['much more', [much + 1, much + 1, much + 1], all],
  ])('%s', (_, reads, flags) => expect(flagsAfter(v8, ...reads)).toEqual(flags));
});

test.each(['11.3.244.8-node.30', '12.4.254.21-node.33'])(
  'code is kept under the flags that the next run starts with: %s',
  (v8) => {
    const flags = new Map<string, string>();
    const effort = new Effort((flag) => {
      const [name = '', value = ''] = flag.replace(/^--(no-)?opt$/, '--opt=$1').split('=');
      flags.set(name, value);
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
