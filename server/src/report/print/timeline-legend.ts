import { inLanguage, say } from '../../language/phrase.ts';
import type { Phrase, Value } from '../../language/phrase.ts';
import type { Language } from '../../language/language.ts';
import type { State } from '../../sequence/course.ts';
import { px, segment, text, twoLines } from '../pictures/picture-parts.ts';
import { knockSign, seatSign, stateShape, stateWords, warningSign, widthOf } from './timeline-marks.ts';

/**
 * Says what shapes and signs mean.
 * @param id of the picture
 * @param top of the first line; unit: pixels
 * @returns what is drawn, and where its last line stands
 */
export function timelineLegend(
  id: string,
  width: number,
  top: number,
  language: Language | undefined,
): { readonly parts: readonly Value[]; readonly bottom: number } {
  const parts: Value[] = [];
  let y = top;
  let x = 12;
  const put = (draw: (x: number) => string, words: Phrase, size = 30): void => {
    const label = inLanguage(words, language);
    const room = size + 6 + widthOf(label) + 12;
    if (x + room > width) {
      x = 12;
      y += 18;
    }
    // What is longer than a line takes two.
    const lines = room > width ? twoLines(label, 0) : [label];
    parts.push(draw(x), ...lines.map((line, i) => text(x + size + 5, y + 3.5 + 12 * i, line, 'tag')));
    y += 12 * (lines.length - 1);
    x += room;
  };
  const states: readonly State[] = ['mated', 'open', 'exposed', 'covered', 'closed', 'proven'];
  for (const state of states) {
    put(
      (at) =>
        stateShape(id, state, at, at + 30, y) + (state === 'exposed' ? warningSign(at + 15, y - 9) : ''),
      state === 'exposed' ? say`bare where dirt may reach it` : stateWords[state],
    );
  }
  put((at) => segment(at, y, at + 30, y, 'mated') + knockSign(at + 15, y), say`may be knocked loose`);
  put((at) => segment(at, y, at + 30, y, 'mated') + seatSign(at + 15, y), say`checked: fully seated`);
  put(
    (at) => `<rect class="critical" x="${px(at)}" y="${px(y - 5)}" width="30" height="10"/>`,
    say`step on the critical path`,
  );
  put(
    (at) =>
      `<rect class="work" x="${px(at)}" y="${px(y - 5)}" width="16" height="10"/>${segment(at + 16, y, at + 30, y, 'slack')}`,
    say`step with slack time`,
  );
  put(
    (at) =>
      `<rect class="band" x="${px(at)}" y="${px(y - 8)}" width="30" height="16"/>${segment(at, y - 8, at, y + 8, 'bandedge')}${segment(at + 30, y - 8, at + 30, y + 8, 'bandedge')}`,
    say`dust, spray or sparks reach this zone`,
  );
  return { parts, bottom: y };
}
