import { readFileSync } from 'node:fs';
import type { CodeAction, Diagnostic, Range, WorkspaceEdit } from 'vscode-languageserver/node';
import type { Random } from '../fuzz/random.ts';
import { scalars, signs, unicode } from '../fuzz/traps.ts';
import type { Editor, ShopFile } from './editor.ts';

/** Something that a person, another program or the editor itself does. It may find nothing to do. */
type Act = (editor: Editor, random: Random, number: number) => Promise<unknown>;

/** A text that has drifted this far goes back to where it started: noise alone asks little of a server. */
const maxDrift = 60;

const openPlan = (editor: Editor, random: Random): ShopFile =>
  random.pick(editor.opened.filter(({ uri }) => uri.endsWith('.repair-plan.yaml')));

const isShared = ({ uri }: ShopFile): boolean => !uri.endsWith('.repair-plan.yaml');

/** A match of a pattern somewhere in a text. */
function somewhere(text: string, pattern: RegExp, random: Random): RegExpExecArray | undefined {
  const all = [...text.matchAll(pattern)];
  return all.length === 0 ? undefined : random.pick(all);
}

const step = /^ {2}- \{ id: (op[\w-]+).*\}.*\n/gm;

/** Replaces what a pattern finds in an open plan. */
const replacing =
  (pattern: RegExp, by: (match: RegExpExecArray, random: Random, number: number) => string): Act =>
  async (editor, random, number) => {
    const file = openPlan(editor, random);
    const match = somewhere(file.document.getText(), pattern, random);
    if (!match) return;
    await editor.replace(file, match.index, match.index + match[0].length, by(match, random, number));
    await look(editor, file);
  };

/** What an editor asks after each edit. */
async function look(editor: Editor, { uri }: ShopFile): Promise<void> {
  const textDocument = { uri };
  await Promise.all([
    editor.request('textDocument/diagnostic', { textDocument }),
    editor.request('textDocument/codeLens', { textDocument }),
  ]);
}

const words = ['mind the harness', 'by the window: see sheet 4', "Kim's lamp #2", 'Ω & µ, both', 'two days'];

async function typeNote(editor: Editor, random: Random): Promise<void> {
  const file = openPlan(editor, random);
  const match = somewhere(file.document.getText(), / \}(?= *(?:#.*)?$)/gm, random);
  if (!match) return;
  let at = match.index;
  for (const key of `, note: ${random.pick(words)}`) {
    await editor.replace(file, at, at, key);
    at += key.length;
    if (random.chance(0.3)) await look(editor, file);
  }
  await look(editor, file);
}

/** An id is changed everywhere by the server's own rename. */
async function rename(editor: Editor, random: Random, number: number): Promise<void> {
  const file = openPlan(editor, random);
  const text = file.document.getText();
  const match = somewhere(text, /\bid: ([a-z][\w-]*)|\bconnectors?: \[?([a-z][\w-]*)/g, random);
  if (!match) return;
  const position = file.document.positionAt(match.index + match[0].length - 1);
  const name = (match[1] ?? match[2])!;
  const newName = `${name.replace(/-r\d+$/, '')}-r${number}`;
  const params = { textDocument: { uri: file.uri }, position, newName };
  const edit = await editor.request<WorkspaceEdit | null>('textDocument/rename', params).catch(() => null);
  if (edit) await editor.apply(edit);
  await look(editor, file);
}

/** A fix that the server offers for one of its findings is taken. */
async function takeFix(editor: Editor, random: Random): Promise<void> {
  const file = openPlan(editor, random);
  const textDocument = { uri: file.uri };
  const report = await editor.request<{ items?: Diagnostic[] }>('textDocument/diagnostic', { textDocument });
  if (!report.items?.length) return;
  const finding = random.pick(report.items);
  const actions = await editor.client.codeActions(file.uri, finding.range, { diagnostics: [finding] });
  if (actions.length === 0) return;
  const action = await editor.request<CodeAction>('codeAction/resolve', random.pick(actions));
  if (action.edit) await editor.apply(action.edit);
  await look(editor, file);
}

async function typeNoise(editor: Editor, random: Random): Promise<void> {
  const file = openPlan(editor, random);
  const at = random.below(file.document.getText().length + 1);
  const typed = random.pick(random.pick([signs, unicode, scalars]));
  const end = Math.min(at + random.below(4), file.document.getText().length);
  const was = file.document.getText().slice(at, end);
  await editor.replace(file, at, end, typed);
  if (random.chance(0.5)) await look(editor, file);
  // Most slips are taken back at once.
  if (random.chance(0.8)) await editor.replace(file, at, at + typed.length, was);
  await look(editor, file);
}

/** A step is moved to another place. */
async function moveStep(editor: Editor, random: Random): Promise<void> {
  const file = openPlan(editor, random);
  const text = file.document.getText();
  const [from, to] = [somewhere(text, step, random), somewhere(text, step, random)];
  if (!from || !to) return;
  const rest = text.slice(0, from.index) + text.slice(from.index + from[0].length);
  const at = to.index > from.index ? to.index - from[0].length : to.index;
  await editor.edit(file, { text: rest.slice(0, at) + from[0] + rest.slice(at) });
  await look(editor, file);
}

async function exchange(editor: Editor, random: Random): Promise<void> {
  const [going, coming] = [openPlan(editor, random), random.pick(editor.closed)];
  if (random.chance(0.5)) await editor.save(going);
  await editor.close(going);
  await editor.open(coming);
  // A list or a sheet is looked into, and closed again.
  if (isShared(coming)) {
    await look(editor, coming);
    await editor.close(coming);
    await editor.open(going);
  }
}

/** A colleague's program changes, removes or brings back a file that the editor does not show. */
async function changeDisk(editor: Editor, random: Random, number: number): Promise<void> {
  const file = random.pick(editor.closed.filter((one) => random.chance(0.5) === isShared(one)));
  if (!file) return;
  const changed = file.original
    .replace(/hours: [\d.]+/, () => `hours: 0.${1 + random.below(9)}`)
    .replace(/per-hour: '\d+/, () => `per-hour: '${80 + random.below(40)}`)
    .replace(/\bid: (op\d+)\b/, (_, id: string) => `id: ${id}${random.chance(0.2) ? `d${number}` : ''}`);
  const text = random.pick([changed, changed, file.original, file.original.slice(0, -40), undefined]);
  await editor.writeOnDisk(file, text);
  await look(editor, openPlan(editor, random));
  // Nobody leaves a shop without its sheet for long.
  if (isShared(file) && text !== changed) await editor.writeOnDisk(file, file.original);
}

/** A plan gets another file name. */
async function moveFile(editor: Editor, random: Random, number: number): Promise<void> {
  const file = random.pick(editor.closed.filter((one) => !isShared(one)));
  const text = readIfThere(file);
  editor.files.delete(file.uri);
  await editor.writeOnDisk(file, undefined);
  const next = editor.add(`HL-${10_000 + number}.repair-plan.yaml`, file.original);
  await editor.writeOnDisk(next, text);
}

function readIfThere({ path, original }: ShopFile): string {
  try {
    return readFileSync(path, 'utf8');
  } catch {
    return original;
  }
}

const levels = ['error', 'warning', 'information', 'off'];
const findings = [
  'bare-connector',
  'weak-cover',
  'labour-missing',
  'limit-missing',
  'unused-id',
  'late-cover',
];

const changeSettings: Act = (editor, random) =>
  editor.setSettings({
    severities: Object.fromEntries(
      findings.filter(() => random.chance(0.4)).map((one) => [one, random.pick(levels)]),
    ),
    hints: { order: random.chance(0.5), duration: random.chance(0.5), heat: random.chance(0.5) },
  });

const places = ['hover', 'completion', 'definition', 'references', 'documentHighlight', 'prepareRename'];
const wholes = ['documentSymbol', 'semanticTokens/full', 'foldingRange', 'documentLink', 'codeLens'];

/** The cursor wanders; some questions are taken back before they are answered. */
async function ask(editor: Editor, random: Random): Promise<void> {
  const { uri, document } = openPlan(editor, random);
  const textDocument = { uri };
  const position = document.positionAt(random.below(document.getText().length + 1));
  const context = { includeDeclaration: true };
  const range: Range = { start: { line: 0, character: 0 }, end: position };
  const asked: [string, object][] = [
    ...places.map((one): [string, object] => [one, { textDocument, position, context }]),
    ...wholes.map((one): [string, object] => [one, { textDocument }]),
    ['inlayHint', { textDocument, range }],
    ['codeAction', { textDocument, range: { start: position, end: position }, context: { diagnostics: [] } }],
  ];
  const [method, params] = random.pick(asked);
  const answer = editor.request(`textDocument/${method}`, params).catch(() => undefined);
  await answer;
}

/** Everything that happens in a day, with how often it does. */
const happening: readonly (readonly [weight: number, name: string, act: Act])[] = [
  [8, 'notes', typeNote],
  [8, 'times', replacing(/\btime: [\d.]+ (?:h|min)/g, (_, random) => `time: ${random.below(30)} min`)],
  [
    4,
    'names',
    replacing(
      /^(?:plan|title): .*/gm,
      (match, random, number) =>
        `${match[0].split(':')[0]!}: ${random.pick(['HL', 'Lamp', 'Door'])}-${number}`,
    ),
  ],
  [
    4,
    'ids in one place',
    replacing(/\bop[\w-]+\b/g, (match, _, number) => `${match[0].slice(0, 8)}x${number}`),
  ],
  [4, 'renames', rename],
  [
    6,
    'new steps',
    replacing(
      step,
      (match, random, number) =>
        `${match[0]}${match[0]
          .replace(match[1]!, `new${number}`)
          .replace(/do: [\w-]+/, (task) =>
            random.chance(0.5)
              ? task
              : `do: ${random.pick(['grind', 'cover', 'inspect', 'reconnect', 'weld'])}`,
          )}`,
    ),
  ],
  [5, 'steps removed', replacing(step, () => '')],
  [3, 'steps moved', moveStep],
  [
    3,
    'order',
    replacing(/, after: \[[^\]]*\]|(?<=do: [\w-]+)(?=,)/g, (match, random) =>
      match[0] ? '' : `, after: [${random.chance(0.5) ? 'op10' : ''}]`,
    ),
  ],
  [
    2,
    'uses',
    replacing(/^ {2}- \.\/.*\n/gm, (match, random) => (random.chance(0.5) ? '' : match[0] + match[0])),
  ],
  [8, 'noise', typeNoise],
  [3, 'fixes', takeFix],
  [6, 'exchanged', exchange],
  [2, 'saved', async (editor, random) => editor.save(openPlan(editor, random))],
  [3, 'changed on disk', changeDisk],
  [1, 'moved on disk', moveFile],
  [0.5, 'settings', changeSettings],
  [10, 'asked', ask],
  [0.1, 'checks of all', (editor) => editor.request('workspace/diagnostic', { previousResultIds: [] })],
];
const total = happening.reduce((sum, [weight]) => sum + weight, 0);

/** Lets one thing happen. @returns what it was */
export async function happen(editor: Editor, random: Random, number: number): Promise<string> {
  let at = random.next() * total;
  const [, name, act] = happening.find(([weight]) => (at -= weight) < 0)!;
  await act(editor, random, number);
  for (const file of editor.opened) {
    if (file.drift <= maxDrift) continue;
    await editor.edit(file, { text: file.original });
    file.drift = 0;
  }
  return name;
}
