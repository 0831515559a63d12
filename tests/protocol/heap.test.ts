import { describe, expect, test } from 'vitest';
import { HeapRoom } from '../../server/src/lsp/heap.ts';

/** Flags as they stand after the calls, with 50 MB in use. */
function flagsAfter(act: (room: HeapRoom) => void): { flags: Record<string, string>; set: number } {
  const flags: Record<string, string> = {};
  let set = 0;
  const setFlag = (flag: string): void => {
    const [, name, value] = /^--([a-z-]+)=(\d+)$/.exec(flag)!;
    flags[name!] = value!;
    set++;
  };
  act(new HeapRoom(setFlag, () => 50e6));
  return { flags, set };
}
const growing = (act: (room: HeapRoom) => void): string | undefined =>
  flagsAfter(act).flags['heap-growing-percent'];

describe('how much the heap may grow', () => {
  test('is as much as a text needs, never more than three times what is in use, until the first edit', () => {
    expect(growing((room) => room.letHeapGrow(60e6))).toBe('120');
    expect(growing((room) => room.letHeapGrow(500e6))).toBe('300');
    expect(growing((room) => room.letHeapGrow(1e6))).toBe('40');
    const edited = (room: HeapRoom): void => {
      room.letHeapGrow(60e6);
      room.letHeapGrow(0);
    };
    expect(growing(edited)).toBe('40');
  });

  test('stays what plans that are read one after the other need while a person types in an open one', () => {
    const typed = (room: HeapRoom): void => {
      room.expectGarbage(true);
      room.letHeapGrow(0);
    };
    expect(flagsAfter(typed).flags).toEqual({
      'heap-growing-percent': '280',
      'semi-space-growth-factor': '2',
    });
    const done = (room: HeapRoom): void => {
      typed(room);
      room.expectGarbage(false);
    };
    expect(flagsAfter(done).flags).toEqual({
      'heap-growing-percent': '40',
      'semi-space-growth-factor': '1',
    });
  });

  test('is told to the engine only when it changes', () => {
    const again = (room: HeapRoom): void => {
      for (let i = 0; i < 5; i++) room.expectGarbage(true);
    };
    expect(flagsAfter(again).set).toBe(2);
  });
});
