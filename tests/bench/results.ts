/** The measurements as text: the page beside the bench, and the short table that the README quotes from it. */

export interface Row {
  readonly figure: string;
  readonly ours: string;
  readonly beside: string;
  readonly ratio: string;
  readonly target: string;
}

/** Milliseconds from an edit to the findings of the new text. */
export interface Typing {
  readonly name: string;
  readonly size: number;
  readonly p50: number;
  readonly p95: number;
  readonly samples: number;
}

interface Measured {
  /** ISO 8601. */
  readonly day: string;
  readonly machine: string;
  readonly rows: readonly Row[];
  readonly typing: readonly Typing[];
}

const [opening, closing] = [
  '<!-- measured by npm run bench -->',
  '<!-- end of the measurements -->',
] as const;

const number = (ms: number): string => (ms < 10 ? ms.toFixed(1) : String(Math.round(ms)));

export function results({ day, machine, rows, typing }: Measured): string {
  const sizes = [...new Set(typing.map(({ size }) => size))];
  const names = [...new Set(typing.map(({ name }) => name))];
  const cell = (name: string, size: number): string => {
    const one = typing.find((other) => other.name === name && other.size === size);
    return one ? `${number(one.p50)} / ${number(one.p95)}` : '';
  };
  return [
    '# Measurements',
    '',
    `${day}, ${machine}. Written by \`npm run bench\`. A shared machine: trust the ratios of one run, not the milliseconds.`,
    '',
    '| figure | Plugward | beside it, in the same run | ratio | target |',
    '| --- | ---: | --- | ---: | --- |',
    ...rows.map(
      ({ figure, ours, beside, ratio, target }) =>
        `| ${figure} | ${ours} | ${beside} | ${ratio} | ${target} |`,
    ),
    '',
    '## As a person types',
    '',
    'From the message of an edit to the findings of the new text, after a round to warm up: p50 / p95 in milliseconds. Each script is played',
    'at several places and leaves the text as it was; “undo” takes back what the scripts before it wrote or deleted, at once.',
    '',
    `| edit | ${sizes.map((size) => `${size.toLocaleString('en')} lines`).join(' | ')} |`,
    `| --- |${sizes.map(() => ' ---: |').join('')}`,
    ...names.map((name) => `| ${name} | ${sizes.map((size) => cell(name, size)).join(' | ')} |`),
    '',
    '![Growth of the time to the findings with the length of the plan](growth.svg)',
    '',
  ].join('\n');
}

/** Figures with a peer beside them, which mean something on any machine. */
const quoted = [
  /^open.*(first|second start)/,
  /^start/,
  /^open → findings, .* warm$/,
  /^a key in a note, .* beside/,
  /^a bracket .* beside/,
  /^growth/,
  /^command line/,
  /^compare/,
  /^batch/,
  /^check again/,
  /^fix/,
];

/** The README with its table brought up to date. */
export function inReadme(readme: string, { day, rows }: Pick<Measured, 'day' | 'rows'>): string {
  const from = readme.indexOf(opening);
  const to = readme.indexOf(closing);
  if (from < 0 || to < from) return readme;
  const table = [
    opening,
    '',
    '| figure | beside it, in the same run | ratio |',
    '| --- | --- | ---: |',
    ...rows
      .filter(({ figure, ratio }) => ratio !== '' && quoted.some((pattern) => pattern.test(figure)))
      .map(
        ({ figure, beside, ratio }) =>
          `| ${figure} | ${beside.replace(/ [\d.]+ (ms|files\/s)$/, '')} | ${ratio} |`,
      ),
    '',
    `Measured on ${day}; all figures and how they grow are in [tests/bench/results.md](tests/bench/results.md).`,
    '',
  ].join('\n');
  return readme.slice(0, from) + table + readme.slice(to);
}

/** The rows of a page that `results` wrote. */
export function rowsOf(page: string): Pick<Measured, 'day' | 'rows'> {
  const rows = page
    .split('\n## ')[0]!
    .split('\n')
    .filter((line) => line.startsWith('| '))
    .slice(2)
    .map((line) => line.slice(2, -2).split(' | '))
    .map(([figure = '', ours = '', beside = '', ratio = '', target = '']) => ({
      figure,
      ours,
      beside: beside.trim(),
      ratio: ratio.trim(),
      target,
    }));
  return { day: /\d{4}-\d{2}-\d{2}/.exec(page)?.[0] ?? '', rows };
}
