import { isSame } from '../../compare/compare.ts';
import type { Comparison } from '../../compare/compare.ts';
import type { Language } from '../../language/language.ts';
import { inLanguage, say } from '../../language/phrase.ts';
import type { Value } from '../../language/phrase.ts';
import type { Paint, TextStyle } from '../listing/human.ts';
import { lineColumnRange } from '../listing/listing.ts';
import type { Sources } from '../listing/listing.ts';
import { printable } from '../listing/printable.ts';
import { wrap } from '../listing/wrap.ts';
import { comparisonSections } from './sections.ts';
import type { ComparisonLine, Mark } from './sections.ts';

export interface ComparisonText {
  /** How the two versions are called. */
  readonly old: string;
  readonly new: string;
  readonly oldSources: Sources;
  readonly newSources: Sources;
  readonly width: number;
  readonly paint: Paint;
  readonly caution: Value;
  readonly language?: Language | undefined;
}

const styles: Readonly<Record<Mark, TextStyle>> = {
  '+': 'good',
  '-': 'quiet',
  '~': 'strong',
  error: 'error',
  warning: 'warning',
  information: 'information',
};
const signs: Readonly<Record<Mark, string>> = {
  '+': '+',
  '-': '−',
  '~': '~',
  error: '!',
  warning: '!',
  information: '·',
};

/** What changed, for a terminal. */
export function comparisonText(comparison: Comparison, options: ComparisonText): string {
  const { paint, width, language } = options;
  const words = (value: Value): string => printable(inLanguage(value, language).replaceAll(/\s+/g, ' '));
  const heading = `${paint('file', printable(options.old))} → ${paint('file', printable(options.new))}`;
  if (isSame(comparison)) return `${heading}\n  ${words(say`No change in meaning.`)}\n`;
  const placeOf = ({ at, mark }: ComparisonLine): string => {
    if (!at) return '';
    const sources = mark === '-' ? options.oldSources : options.newSources;
    const line = lineColumnRange(at, sources).line;
    return paint(
      'quiet',
      mark === '-'
        ? ` ${words(say`(line ${String(line)} before)`)}`
        : ` ${words(say`(line ${String(line)})`)}`,
    );
  };
  const blocks = comparisonSections(comparison).map(({ title, lines, notes }) =>
    [
      paint('strong', words(title)),
      ...lines.map((line) => {
        const [first = '', ...rest] = wrap(words(line.text), width - 4);
        const body = [
          `  ${paint(styles[line.mark], signs[line.mark])} ${first}`,
          ...rest.map((one) => `    ${one}`),
        ];
        return body.join('\n') + placeOf(line);
      }),
      ...notes.flatMap((note) => wrap(words(note), width - 4).map((one) => `    ${one}`)),
      '',
    ].join('\n'),
  );
  const end = wrap(words(options.caution), width).map((line) => paint('quiet', line));
  return `${[heading, '', ...blocks, ...end].join('\n')}\n`;
}
