import { mapsIn } from '../../document/node.ts';
import { joined, andList, say } from '../../language/phrase.ts';
import type { Value } from '../../language/phrase.ts';
import type { Plan } from '../../plan/plan.ts';
import { photoUri } from '../../workspace/named-files.ts';
import { html } from './html.ts';
import type { Content, Markup } from './html.ts';
import { dataUriOf } from './image.ts';
import { section } from './page.ts';
import { stepOn, stepTitle } from './task-words.ts';

/** A photograph that the plan names as evidence. */
export interface Photo {
  /** Counts from 1 in the order of the plan; the lines of the estimate refer to it. */
  readonly number: number;
  readonly operation: string;
  /** As written. */
  readonly file: string;
  /** Where to read it; undefined for what is no path, such as a web address. */
  readonly uri: string | undefined;
  readonly when: 'before' | 'after' | undefined;
  readonly note: string | undefined;
}

/** A larger photograph, or more of them, would make a page that no mail carries. Unit: bytes. */
export const photoLimits = { one: 4e6, all: 24e6 } as const;
export const tooLargePhoto = say`it is larger than ${photoLimits.one / 1e6} MB; make a smaller copy`;
export const tooManyPhotos = say`the photographs before it already use the ${photoLimits.all / 1e6} MB allowed on a page`;

/** What could be read of the photographs, by URI: a file's bytes, or in plain words why there are none. */
export type PhotoFiles = ReadonlyMap<string, Uint8Array | Value>;

export function photosOf(plan: Plan): Photo[] {
  let number = 0;
  return mapsIn(plan.root?.get('evidence')).flatMap((node): Photo[] => {
    const operation = node.get('for')?.value;
    const photo = node.get('photo');
    const file = photo?.value.trim() ?? '';
    if (operation === undefined || !photo || file === '') return [];
    number++;
    return [
      {
        number,
        operation,
        file,
        uri: photoUri(photo),
        when: node.get('when')?.value,
        note: node.get('note')?.value,
      },
    ];
  });
}

/** "photo 3", "photos 3, 4": the photographs of the operations that a line charges. */
export function photoMark(photos: readonly Photo[], steps: readonly string[]): Content {
  const numbers = photos.flatMap(({ operation, number }) => (steps.includes(operation) ? [number] : []));
  return (
    numbers.length > 0 &&
    html` <span class="note nowrap"
      >${numbers.length === 1 ? say`photo ${numbers[0]!}` : say`photos ${joined(numbers, ', ')}`}</span
    >`
  );
}

export function photoSection(plan: Plan, photos: readonly Photo[], files: PhotoFiles): Content {
  if (photos.length === 0) return undefined;
  return section(
    say`Photographs`,
    html`<div class="photos">${photos.map((photo) => figure(plan, photo, files))}</div>`,
  );
}

function figure(plan: Plan, { number, operation, file, uri, when, note }: Photo, files: PhotoFiles): Markup {
  const found = plan.operation(operation);
  const connectors = andList((found?.connectors ?? []).map(({ value }) => value));
  const shows = found && (found.connectors.length > 0 ? stepOn(found, connectors) : stepTitle(found));
  const read =
    uri === undefined ? say`it is not in the shop's files` : (files.get(uri) ?? say`it was not read`);
  const picture = read instanceof Uint8Array ? dataUriOf(read) : undefined;
  const reason = read instanceof Uint8Array ? say`it is neither a PNG nor a JPEG picture` : read;
  return html`<figure>
    ${
      picture === undefined
        ? html`<p class="lacking"><span class="mark">${say`Not shown:`}</span> ${reason}.</p>`
        : html`<img src="${picture}" alt="${say`Photograph ${number}, ${operation}: ${shows ?? ''}`}" />`
    }
    <figcaption>
      <b>${say`Photo ${number}`}</b>,
      ${operation}${shows !== undefined && html`: ${shows}`}${when === 'before' && say`, before the step`}${when === 'after' && say`, after the step`}${note !== undefined && `. ${note}`}
      <span class="note">${file}</span>
    </figcaption>
  </figure>`;
}
