/**
 * Pictures that a print may hold: PNG (ISO/IEC 15948) and JPEG (ISO/IEC 10918-1), told by their bytes, never by their
 * name. What a camera writes beside the picture (place, time, device, thumbnails) is left out, because a print is
 * handed to others; only which side is up is kept.
 */

/** The picture as a `data:` address; undefined for anything that is no whole PNG or JPEG. */
export function dataUriOf(bytes: Uint8Array): string | undefined {
  const png = plainPng(bytes);
  if (png) return `data:image/png;base64,${base64(png)}`;
  const jpeg = plainJpeg(bytes);
  return jpeg && `data:image/jpeg;base64,${base64(jpeg)}`;
}

/** Bytes per `String.fromCharCode` call; longer argument lists overflow the stack. */
const portion = 0x8000;

function base64(parts: readonly Uint8Array[]): string {
  let binary = '';
  for (const part of parts) {
    for (let at = 0; at < part.length; at += portion) {
      binary += String.fromCharCode(...part.subarray(at, at + portion));
    }
  }
  return btoa(binary);
}

const pngSignature = [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a];
/** Ancillary chunks with metadata that does not affect rendering. */
const metadataChunks: ReadonlySet<string> = new Set(['tEXt', 'zTXt', 'iTXt', 'eXIf', 'tIME']);

function plainPng(bytes: Uint8Array): Uint8Array[] | undefined {
  if (pngSignature.some((byte, i) => bytes[i] !== byte)) return undefined;
  const view = viewOf(bytes);
  const kept = [bytes.subarray(0, 8)];
  let at = 8;
  while (at + 12 <= bytes.length) {
    const end = at + 12 + view.getUint32(at);
    if (end > bytes.length) return undefined;
    const kind = String.fromCharCode(...bytes.subarray(at + 4, at + 8));
    if (at === 8 && kind !== 'IHDR') return undefined;
    if (!metadataChunks.has(kind)) kept.push(bytes.subarray(at, end));
    if (kind === 'IEND') return kept;
    at = end;
  }
  return undefined;
}

const marker = {
  start: 0xd8,
  end: 0xd9,
  scan: 0xda,
  app0: 0xe0,
  app1: 0xe1,
  app2: 0xe2,
  app14: 0xee,
  app15: 0xef,
};
const comment = 0xfe;
/** APPn segments that affect colour rendering: JFIF, an ICC profile, the colour transform. */
const colourSegments: ReadonlySet<number> = new Set([marker.app0, marker.app2, marker.app14]);

function plainJpeg(bytes: Uint8Array): Uint8Array[] | undefined {
  if (bytes[0] !== 0xff || bytes[1] !== marker.start || bytes[2] !== 0xff) return undefined;
  const view = viewOf(bytes);
  const kept = [bytes.subarray(0, 2)];
  let at = 2;
  let scans = 0;
  while (at + 4 <= bytes.length || bytes[at + 1] === marker.end) {
    if (bytes[at] !== 0xff) return undefined;
    const kind = bytes[at + 1]!;
    if (kind === 0xff) {
      // Markers may be filled up with further 0xff.
      at++;
      continue;
    }
    if (kind === marker.end) {
      // Drop data appended after the image (video, second picture).
      return scans > 0 ? [...kept, bytes.subarray(at, at + 2)] : undefined;
    }
    const end = at + 2 + view.getUint16(at + 2);
    if (end > bytes.length) return undefined;
    const segment = bytes.subarray(at, end);
    if (kind === marker.app1) {
      const turned = orientationOf(segment);
      if (turned !== undefined) kept.push(turnedBy(turned));
    } else if (kind !== comment && (kind < marker.app0 || kind > marker.app15 || colourSegments.has(kind))) {
      kept.push(segment);
    }
    at = end;
    if (kind === marker.scan) {
      scans++;
      at = endOfScan(bytes, end);
      kept.push(bytes.subarray(end, at));
    }
  }
  return undefined;
}

/** Where the entropy-coded bytes end: at a marker that is neither a stuffed 0xff nor a restart. */
function endOfScan(bytes: Uint8Array, from: number): number {
  for (let at = from; at + 1 < bytes.length; at++) {
    if (bytes[at] !== 0xff) continue;
    const next = bytes[at + 1]!;
    if (next !== 0 && next !== 0xff && (next < 0xd0 || next > 0xd7)) return at;
  }
  return bytes.length;
}

const exifHead = [0x45, 0x78, 0x69, 0x66, 0, 0];
/** Start of the TIFF part of an Exif segment: after marker, length and header. */
const tiffAt = 4 + exifHead.length;
const orientationTag = 0x0112;

/** The orientation, 2 to 8 as in TIFF 6.0; `undefined` if upright or not stated. */
function orientationOf(segment: Uint8Array): number | undefined {
  if (exifHead.some((byte, i) => segment[4 + i] !== byte) || segment.length < tiffAt + 14) return undefined;
  const view = viewOf(segment);
  const little = view.getUint16(tiffAt) === 0x4949;
  const directory = tiffAt + view.getUint32(tiffAt + 4, little);
  if (directory + 2 > segment.length) return undefined;
  const entries = view.getUint16(directory, little);
  for (let i = 0; i < entries; i++) {
    const entry = directory + 2 + i * 12;
    if (entry + 12 > segment.length) return undefined;
    if (view.getUint16(entry, little) !== orientationTag) continue;
    const value = view.getUint16(entry + 8, little);
    return value >= 2 && value <= 8 ? value : undefined;
  }
  return undefined;
}

/** An Exif segment that says nothing but how the camera was held. */
const turnedBy = (orientation: number): Uint8Array =>
  new Uint8Array([
    ...[0xff, marker.app1, 0, 34],
    ...exifHead,
    // Big-endian TIFF, one directory at offset 8 with one entry: orientation, one SHORT; no further directory.
    ...[0x4d, 0x4d, 0, 42, 0, 0, 0, 8],
    ...[0, 1, 0x01, 0x12, 0, 3, 0, 0, 0, 1, 0, orientation, 0, 0],
    ...[0, 0, 0, 0],
  ]);

const viewOf = (bytes: Uint8Array): DataView =>
  new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
