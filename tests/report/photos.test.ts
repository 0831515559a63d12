import { readFileSync } from 'node:fs';
import path from 'node:path';
import { deflateSync } from 'node:zlib';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { caution } from '../../server/src/features/caution.ts';
import { estimateCsv, estimateJson } from '../../server/src/report/print/estimate-data.ts';
import { estimate } from '../../server/src/report/print/estimate.ts';
import { dataUriOf } from '../../server/src/report/print/image.ts';
import { photosOf } from '../../server/src/report/print/photos.ts';
import { sampleUri, samplesFolder, sampleWorkspace, workspaceOf } from '../support/files.ts';
import { exampleFiles, wholePlan } from '../support/frame.ts';

const photo = readFileSync(path.join(samplesFolder, 'photos/op25.jpg'));
const bytesOf = (uri: string): Buffer => Buffer.from(uri.slice(uri.indexOf(',') + 1), 'base64');
const ascii = (text: string): number[] => [...Buffer.from(text, 'latin1')];

/** A JPEG segment: 0xff, marker, length with itself (ISO/IEC 10918-1, B.1.1.4). */
const segment = (marker: number, ...content: number[]): number[] => [
  ...[0xff, marker, (content.length + 2) >> 8, (content.length + 2) & 255],
  ...content,
];
/** Puts segments behind the start of a JPEG. */
const withSegments = (...segments: number[][]): Buffer =>
  Buffer.concat([photo.subarray(0, 2), Buffer.from(segments.flat()), photo.subarray(2)]);

/** An Exif segment (Exif 2.32, 4.5): a directory with the orientation and a text that nobody should hand on. */
function exif(orientation: number, little: boolean): number[] {
  const short = (value: number) => (little ? [value & 255, value >> 8] : [value >> 8, value & 255]);
  const long = (value: number) => (little ? [...short(value), 0, 0] : [0, 0, ...short(value)]);
  return segment(
    0xe1,
    ...ascii('Exif\0\0'),
    ...[...ascii(little ? 'II' : 'MM'), ...short(42), ...long(8)],
    ...short(2),
    ...[...short(0x010e), ...short(2), ...long(12), ...long(38)],
    ...[...short(0x0112), ...short(3), ...long(1), ...short(orientation), 0, 0],
    ...long(0),
    ...ascii('Harbour Lane'),
  );
}

/** A PNG chunk; its check sum is left out, because nothing here reads it. */
const chunk = (kind: string, ...content: number[]): number[] => [
  ...[content.length >> 24, content.length >> 16, content.length >> 8, content.length].map((n) => n & 255),
  ...ascii(kind),
  ...content,
  ...[0, 0, 0, 0],
];
const png = (...more: number[][]): Buffer =>
  Buffer.from([
    ...[0x89, ...ascii('PNG\r\n'), 0x1a, 0x0a],
    ...chunk('IHDR', 0, 0, 0, 1, 0, 0, 0, 1, 8, 0, 0, 0, 0),
    ...more.flat(),
    ...chunk('IDAT', ...deflateSync(Buffer.from([0, 0]))),
    ...chunk('IEND'),
  ]);

describe('a picture of a print', () => {
  it('is recognised by its bytes, as PNG or JPEG only', () => {
    expect(dataUriOf(photo)).toMatch(/^data:image\/jpeg;base64,[A-Za-z0-9+/]+=*$/);
    expect(dataUriOf(png())).toMatch(/^data:image\/png;base64,[A-Za-z0-9+/]+=*$/);
    for (const other of [
      '<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>',
      'GIF89a',
      'plan: HL-0147',
      '',
    ]) {
      expect(dataUriOf(Buffer.from(other))).toBeUndefined();
    }
  });

  it('is rejected when truncated, and no bytes cause a failure', () => {
    for (const whole of [photo, png()]) {
      for (let cut = 0; cut < whole.length; cut += Math.ceil(whole.length / 97)) {
        expect(dataUriOf(whole.subarray(0, cut))).toBeUndefined();
      }
    }
    const starts = [
      [],
      [0xff, 0xd8, 0xff],
      [...png().subarray(0, 20)],
      [...withSegments(exif(6, true)).subarray(0, 60)],
    ];
    fc.assert(
      fc.property(fc.constantFrom(...starts), fc.uint8Array({ maxLength: 80 }), (start, rest) => {
        dataUriOf(new Uint8Array([...start, ...rest]));
      }),
      { numRuns: 2000 },
    );
  });

  it('keeps every byte that affects rendering', () => {
    // A file that a browser wrote holds nothing to leave out.
    expect(bytesOf(dataUriOf(photo)!).equals(photo)).toBe(true);
    expect(bytesOf(dataUriOf(png())!).equals(png())).toBe(true);
  });

  it('loses metadata about place, time and device, and data after its end', () => {
    const told = withSegments(
      exif(1, true),
      segment(0xe1, ...ascii('http://ns.adobe.com/xap/1.0/\0<x/>')),
      segment(0xed, ...ascii('Photoshop 3.0')),
      segment(0xfe, ...ascii('taken at Harbour Lane')),
    );
    const film = Buffer.concat([told, Buffer.from('ftypmp42 and a film')]);
    expect(bytesOf(dataUriOf(film)!).equals(photo)).toBe(true);
    const telling = png(
      chunk('tEXt', ...ascii('Author\0A')),
      chunk('tIME', 7, 235, 2, 5, 1, 1, 1),
      chunk('eXIf', 77, 77),
    );
    expect(bytesOf(dataUriOf(telling)!).equals(png())).toBe(true);
  });

  it.each([true, false])('keeps its orientation (little-endian: %s)', (little) => {
    const kept = bytesOf(dataUriOf(withSegments(exif(6, little)))!);
    expect(kept.includes('Harbour Lane')).toBe(false);
    expect([...kept.subarray(2, 38)]).toEqual([
      ...[0xff, 0xe1, 0, 34, ...ascii('Exif\0\0MM'), 0, 42, 0, 0, 0, 8],
      ...[0, 1, 0x01, 0x12, 0, 3, 0, 0, 0, 1, 0, 6, 0, 0, 0, 0, 0, 0],
    ]);
    expect(kept.subarray(38).equals(photo.subarray(2))).toBe(true);
  });
});

describe('the photographs of an estimate', () => {
  const options = { today: '2027-02-05', caution };
  const plan = sampleWorkspace().plan(sampleUri('quarter-panel.repair-plan.yaml'))!;

  it('appear under their numbers and beside the lines of their steps', () => {
    const photos = photosOf(plan);
    expect(photos.map(({ uri }) => uri)).toContain(sampleUri('photos/op25.jpg'));
    const page = estimate(plan, { ...options, photos: new Map(photos.map(({ uri }) => [uri!, photo])) });
    expect(page.match(/<img /g)).toHaveLength(7);
    expect(page).not.toMatch(/src="(?!data:image\/jpeg;base64,[A-Za-z0-9+/]+=*")/);
    expect(page).toContain("default-src 'none'; style-src 'unsafe-inline'; img-src data:");
    const row = page.slice(page.indexOf('<td class="key">op26</td>')).split('</tr>')[0]!;
    expect(row).toContain('photo 2');
    expect(page).toContain('alt="Photograph 2, op26: Cover inverter-dc"');
    expect(page).not.toContain('Not shown:');
  });

  it('give the reason in the print if one is not shown', () => {
    const own = workspaceOf({
      ...exampleFiles,
      'a.repair-plan.yaml': wholePlan(`operations: [{ id: op10, do: mask, zone: roof }]
evidence:
  - { for: op10, photo: a.jpg }
  - { for: op10, photo: https://a.invalid/a.jpg }
  - { for: op10, photo: b.jpg }
  - { for: op10, note: a paper }
`),
    }).plan('file:///plans/a.repair-plan.yaml')!;
    const files = new Map<string, Uint8Array | string>([
      ['file:///plans/a.jpg', 'there is no such file'],
      ['file:///plans/b.jpg', Buffer.from('GIF89a')],
    ]);
    const page = estimate(own, { ...options, photos: files }).replace(/<[^>]*>/g, '');
    expect([...page.matchAll(/Not shown: ([^.]*)\./g)].map(([, reason]) => reason)).toEqual([
      'there is no such file',
      'it is not in the shop&#39;s files',
      'it is neither a PNG nor a JPEG picture',
    ]);
  });

  it('are named in CSV and JSON', () => {
    const [head, ...rows] = estimateCsv(plan).trimEnd().split('\r\n');
    expect(head).toMatch(/,photos,connectors,reason$/);
    expect(rows.find((row) => row.startsWith('HL-0147,labour,op26,'))).toMatch(
      /,\.\/photos\/op26\.jpg,inverter-dc,$/,
    );
    const { photos } = JSON.parse(estimateJson(plan, { version: '1' })) as { photos: unknown[] };
    expect(photos).toContainEqual({
      operation: 'op26',
      file: './photos/op26.jpg',
      when: 'after',
      note: null,
    });
  });
});
