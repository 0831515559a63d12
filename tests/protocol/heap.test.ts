import { describe, expect, test } from 'vitest';
import { HeapRoom } from '../../server/src/lsp/heap.ts';

const mebi = 1024 * 1024;

/** Flags as they stand after the calls, with 50 MB in use. */
function flagsAfter(
  act: (room: HeapRoom) => void,
  newSpace = () => 4 * mebi,
): { flags: Record<string, string>; set: number } {
  const flags: Record<string, string> = {};
  let set = 0;
  const setFlag = (flag: string): void => {
    const [, name, value] = /^--([a-z-]+)=(\d+)$/.exec(flag)!;
    flags[name!] = value!;
    set++;
  };
  act(new HeapRoom(setFlag, () => 50e6, newSpace));
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
      room.expectGarbage('parsed');
      room.letHeapGrow(0);
    };
    expect(flagsAfter(typed).flags).toEqual({
      'heap-growing-percent': '280',
      'semi-space-growth-factor': '4',
    });
    const done = (room: HeapRoom): void => {
      typed(room);
      room.expectGarbage('none');
    };
    expect(flagsAfter(done).flags).toEqual({
      'heap-growing-percent': '40',
      'semi-space-growth-factor': '1',
    });
  });

  test('leaves the space for new objects small for plans that are taken over', () => {
    expect(flagsAfter((room) => room.expectGarbage('taken over')).flags).toEqual({
      'heap-growing-percent': '280',
      'semi-space-growth-factor': '1',
    });
  });

  test('is told to the engine only when it changes', () => {
    const again = (room: HeapRoom): void => {
      for (let i = 0; i < 5; i++) room.expectGarbage('parsed');
    };
    expect(flagsAfter(again).set).toBe(2);
  });

  test('doubles the space for new objects once, for a large text', () => {
    let size = 2 * mebi;
    let looks = 0;
    const read = (by: number) => (room: HeapRoom) => room.letHeapGrow(by);
    // It grows when V8 collects, after some looks.
    const growing = (): number => (++looks % 4 === 0 ? (size = 4 * mebi) : size);
    expect(flagsAfter(read(29e6), growing)).toMatchObject({ set: 1 });
    expect(looks).toBe(0);
    expect(flagsAfter(read(30e6), growing).flags['semi-space-growth-factor']).toBe('1');
    expect({ size, looks }).toEqual({ size: 4 * mebi, looks: 4 });
    expect(flagsAfter(read(30e6), growing).flags).not.toHaveProperty('semi-space-growth-factor');
    expect(looks).toBe(5);
  });

  test('ends trying where the space for new objects does not grow', () => {
    const { flags } = flagsAfter(
      (room) => room.letHeapGrow(30e6),
      () => 2 * mebi,
    );
    expect(flags['semi-space-growth-factor']).toBe('1');
  });
});
