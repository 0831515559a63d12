/**
 * What a person does to a plan while writing it, as edits one after the other: each script returns the text to where it
 * was, so that the next one starts from the same. They are made for the plans of `plans.ts`, in their middle.
 */

export interface Edit {
  readonly at: number;
  readonly deleted: number;
  readonly text: string;
}

interface Script {
  readonly name: string;
  /** Rounds that are measured, each at another place. */
  readonly rounds: number;
  edits(text: string, round: number): readonly Edit[];
  /** The text is put right by an undo, which is measured too, rather than by the edits themselves. */
  readonly undone: boolean;
}

const typed = (at: number, text: string): Edit[] =>
  [...text].map((key, i) => ({ at: at + i, deleted: 0, text: key }));

const rubbedOut = (at: number, text: string): Edit[] =>
  [...text].map((_, i) => ({ at: at + text.length - 1 - i, deleted: 1, text: '' }));

/** Where `about` stands in the text: in the middle third, elsewhere in every round. */
function placeOf(about: string, text: string, round: number): number {
  const from = Math.floor(text.length * (0.35 + 0.025 * (round % 12)));
  const at = text.indexOf(about, from);
  const found = at < 0 ? text.lastIndexOf(about) : at;
  if (found < 0) throw new Error(`no '${about}' in the plan`);
  return found;
}

/** Keys in a value that is there already, and rubbing them out again. */
const within =
  (about: string, keys: string): Script['edits'] =>
  (text, round) => {
    const at = placeOf(about, text, round) + about.length;
    return [...typed(at, keys), ...rubbedOut(at, keys)];
  };

const inBraces = '  - { id: new-op, do: cover, connectors: [c1], using: dummy-plug, time: 0.1 h }\n';
const lineByLine =
  '  - id: new-op\n    do: cover\n    connectors: [c1]\n    using: dummy-plug\n    note: Both halves\n    time: 0.1 h\n';

/** The start of an operation's line. */
const operation = (text: string, round: number): number =>
  text.lastIndexOf('\n', placeOf('do: consult', text, round)) + 1;

const linesFrom = (text: string, at: number, count: number): string => {
  let end = at;
  for (let i = 0; i < count; i++) end = text.indexOf('\n', end) + 1;
  return text.slice(at, end);
};

/** A key that breaks its line, and the next one that mends it; both are measured. */
const broken =
  (place: (text: string, round: number) => number, key: string): Script['edits'] =>
  (text, round) => {
    const at = place(text, round);
    return [
      { at, deleted: 0, text: key },
      { at, deleted: key.length, text: '' },
    ];
  };

/** The end of an operation's line in braces. */
const endOfLine = (text: string, round: number): number => text.indexOf('\n', operation(text, round));

/** A bracket rubbed out and typed again. */
function bracket(text: string, round: number): readonly Edit[] {
  const at = placeOf('connectors: [', text, round) + 'connectors: ['.length - 1;
  return [
    { at, deleted: 1, text: '' },
    { at, deleted: 0, text: '[' },
  ];
}

export const scripts: readonly Script[] = [
  { name: 'a note', rounds: 2, edits: within('Beside', ' Ask the painter first'), undone: false },
  { name: 'an hours figure', rounds: 10, edits: within('hours: 0.1', '25'), undone: false },
  { name: 'a time', rounds: 10, edits: within('time: 0.1', '25'), undone: false },
  {
    name: 'a new operation in braces',
    rounds: 1,
    edits: (text, round) => typed(operation(text, round), inBraces),
    undone: true,
  },
  {
    name: 'a new operation, line by line',
    rounds: 1,
    edits: (text, round) => typed(operation(text, round), lineByLine),
    undone: true,
  },
  {
    name: 'a line deleted',
    rounds: 12,
    edits(text, round) {
      const at = operation(text, round);
      return [{ at, deleted: linesFrom(text, at, 1).length, text: '' }];
    },
    undone: true,
  },
  {
    name: 'ten lines pasted',
    rounds: 12,
    edits(text, round) {
      const at = operation(text, round);
      return [{ at, deleted: 0, text: linesFrom(text, at, 10).replaceAll(/\bop(\d)/g, 'pasted$1') }];
    },
    undone: true,
  },
  {
    name: 'a letter behind a brace, and rubbed out',
    rounds: 12,
    edits: broken(endOfLine, 'x'),
    undone: false,
  },
  { name: 'a bracket rubbed out, and typed again', rounds: 12, edits: bracket, undone: false },
  {
    name: 'a quote that stays open, and rubbed out',
    rounds: 12,
    edits: broken((text, round) => placeOf('Beside', text, round), '"'),
    undone: false,
  },
  {
    name: 'a dash too many, and rubbed out',
    rounds: 12,
    edits: broken((text, round) => operation(text, round) + '  - '.length, '- '),
    undone: false,
  },
];

/** Takes `edits` back in one step, as an editor does; they insert at one place, or delete once. */
export const undo = ([first, ...more]: readonly Edit[], before: string): Edit => ({
  at: first!.at,
  deleted: [first!, ...more].reduce((sum, { text }) => sum + text.length, 0),
  text: before.slice(first!.at, first!.at + first!.deleted),
});
