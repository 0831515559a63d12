/**
 * A tool server over standard input and output (Model Context Protocol), so that an assistant that writes a plan can ask the
 * checker. It reads, inside of one folder; it writes nothing, starts nothing and uses no network.
 */
import { access, stat } from 'node:fs/promises';
import { dirname, resolve } from 'node:path';
import { version } from '../../../package.json';
import { own } from '../base/collections.ts';
import { caution } from '../features/caution.ts';
import { check } from '../features/check.ts';
import { explained } from '../features/explain.ts';
import { taskRows } from '../features/tables.ts';
import { say } from '../language/phrase.ts';
import type { Phrase } from '../language/phrase.ts';
import { comparisonData } from '../report/comparison/json.ts';
import { jsonReport } from '../report/listing/json.ts';
import { jsonText } from '../report/listing/json-text.ts';
import { printable } from '../report/listing/printable.ts';
import { Workspace } from '../workspace/workspace.ts';
import { readArguments, readDate, speakingOptions, UsageError } from './arguments.ts';
import type { Options } from './arguments.ts';
import type { Command } from './command.ts';
import { twoFiles } from './compare.ts';
import { liesIn } from './files.ts';
import { gatherTargets, onDisk, readUsed, shownName } from './gather.ts';
import { FileError, isOutside, reasonOf } from './reasons.ts';
import { requireFinding, settingsOf } from './settings.ts';
import { scopeOf } from './tables.ts';
import { findTargets, readerInside, uriOf } from './targets.ts';
import { localizeOutput } from './terminal.ts';

const options = { language: speakingOptions.language } as const satisfies Options;

/** Goes with every answer: an assistant may hand it on to somebody who works from it. */
const release = say`Neither a finding nor the lack of one releases a vehicle for work. Whoever is qualified decides, by the vehicle maker's procedure.`;

type Given = Readonly<Record<string, unknown>>;

interface Tool {
  readonly name: string;
  readonly description: string;
  readonly properties: Readonly<Record<string, { readonly type: string; readonly [key: string]: unknown }>>;
  readonly required?: readonly string[];
  /** @throws UsageError, FileError and errors of the system, which are told to the assistant */
  answer(given: Given, root: string): Promise<object>;
}

const text = (given: Given, key: string): string | undefined => {
  const value = own<unknown>(given, key);
  if (value === undefined || typeof value === 'string') return value;
  throw new UsageError(say`${key} is a text.`);
};

const outside = (path: string): Phrase =>
  say`${printable(path)} lies outside of the folder that may be read.`;

const isThere = (path: string): Promise<boolean> =>
  access(path).then(
    () => true,
    () => false,
  );

/** An absolute path inside the folder, links followed. @throws UsageError for any other */
async function inside(path: string, root: string): Promise<string> {
  const full = resolve(root, path);
  // What is not there yet lies where the nearest folder above it lies.
  let there = full;
  while (there !== dirname(there) && !(await isThere(there))) there = dirname(there);
  if (!(await liesIn(there, [root]))) throw new UsageError(outside(path));
  return full;
}

/** The same for one file: of a folder more is read than lies in it, such as the `.gitignore` files around it. */
async function oneFile(path: string, root: string): Promise<string> {
  const full = await inside(path, root);
  if (!(await stat(full)).isFile()) throw new FileError(say`it is not a regular file`);
  return full;
}

const settingsFor = (given: Given) => {
  const today = text(given, 'today');
  return settingsOf({ today: today === undefined ? undefined : readDate('today', today), severity: [] });
};

const file = (what: string) => ({ type: 'string', description: `${what}, relative to the folder` });
const today = { type: 'string', description: 'Judge as of this day, YYYY-MM-DD; today unless stated' };

const tools: readonly Tool[] = [
  {
    name: 'check',
    description:
      'Checks repair plans, shop procedures, connector lists and rate sheets, and answers with the findings as JSON. Either files and folders (`paths`, the whole folder unless stated), or the text of one file that is not saved yet (`text`, with the name it will have in `file`, such as HL-0147.repair-plan.yaml).',
    properties: {
      paths: {
        type: 'array',
        items: { type: 'string' },
        description: 'Files and folders, relative to the folder',
      },
      text: { type: 'string', description: 'The text of one file that is not saved yet' },
      file: file('The name that the text will have'),
      today,
    },
    async answer(given, root) {
      const settings = settingsFor(given);
      const name = (uri: string): string => shownName(uri, root);
      const draft = text(given, 'text');
      if (draft !== undefined) {
        const called = text(given, 'file');
        if (called === undefined) throw new UsageError(say`text needs the name that it will have, in file.`);
        const uri = uriOf(await inside(called, root));
        const workspace = new Workspace();
        workspace.set(uri, draft);
        if (!workspace.document(uri))
          throw new UsageError(say`${printable(called)} names no plan, procedure, list or sheet.`);
        await readUsed(workspace, onDisk({ folders: [root] }));
        return reportOf(workspace, [uri], []);
      }
      const paths = given['paths'] ?? ['.'];
      if (!Array.isArray(paths) || !paths.every((one) => typeof one === 'string'))
        throw new UsageError(say`paths is a list of texts.`);
      const full = await Promise.all(paths.map((path: string) => inside(path, root)));
      const targets = await findTargets(full, root, readerInside(root));
      const { workspace, asked, trouble } = await gatherTargets(targets, undefined, root);
      return reportOf(
        workspace,
        asked.map(({ uri }) => uri),
        trouble,
      );

      function reportOf(
        workspace: Workspace,
        uris: readonly string[],
        unread: readonly { uri: string; reason: string }[],
      ): object {
        const files = uris.map((uri) => ({ uri, findings: check(workspace, uri, settings) }));
        return JSON.parse(jsonReport({ files, unread, sources: workspace }, { version, name })) as object;
      }
    },
  },
  {
    name: 'explain',
    description:
      'What a finding means, why it matters, what to do, its source, and an example wrong and right. Without `finding`, the titles of all findings.',
    properties: { finding: { type: 'string', description: 'The id, such as bare-connector' } },
    answer(given) {
      const id = text(given, 'finding');
      const settings = settingsOf({ today: undefined, severity: [] });
      const findings = explained(id === undefined ? undefined : requireFinding(id), settings);
      return Promise.resolve({
        findings:
          id === undefined
            ? findings.map(({ id: one, title, severity }) => ({ id: one, title, severity }))
            : findings,
      });
    },
  },
  {
    name: 'tasks',
    description:
      'The tasks that a step may do (`do:`): what each raises, and the facts it needs, makes and ends. With `file`, with the rows of that plan or sheet.',
    properties: { file: file('A plan, list or rate sheet whose own rows are added') },
    async answer(given, root) {
      const named = text(given, 'file');
      const scope = await scopeOf(named === undefined ? undefined : await oneFile(named, root), root);
      if (!scope) throw new UsageError(say`${printable(named ?? '')} was not read.`);
      return {
        tasks: taskRows(scope).map(({ doing, ...row }) => ({ ...row, doing: localizeOutput(doing) })),
      };
    },
  },
  {
    name: 'compare',
    description:
      'What changed in meaning between two versions of a plan: steps, order, connectors, money, readings, and findings that are new or gone.',
    properties: { old: file('The old version'), new: file('The new version'), today },
    required: ['old', 'new'],
    async answer(given, root) {
      const paths = await Promise.all(['old', 'new'].map((side) => oneFile(text(given, side) ?? '', root)));
      const { compared, unread } = await twoFiles(paths, root, settingsFor(given));
      return {
        comparisons: compared.map(({ comparison, old, new: now }) =>
          comparisonData(comparison, { old, new: now }),
        ),
        unread: unread.map(({ name, reason }) => ({ file: name, reason })),
      };
    },
  },
];

/** An answer as the protocol has it; what goes wrong is told to the assistant in words. */
async function call(name: string, given: Given, root: string) {
  const cautions = [localizeOutput(caution), localizeOutput(release)].join(' ');
  try {
    const tool = tools.find((one) => one.name === name);
    if (!tool) throw new UsageError(say`There is no tool '${name}'.`);
    const answer = { caution: cautions, ...(await tool.answer(given, root)) };
    return { content: [{ type: 'text' as const, text: jsonText(answer) }] };
  } catch (error) {
    if (!(error instanceof UsageError || error instanceof FileError || isOutside(error))) throw error;
    const words = error instanceof UsageError ? localizeOutput(error.words) : `${reasonOf(error)}.`;
    // It may quote what the assistant asked for, whatever that holds.
    const shown = words.split('\n').map(printable).join('\n');
    return { isError: true, content: [{ type: 'text' as const, text: shown }] };
  }
}

async function requireFolder(path: string): Promise<void> {
  if (!(await stat(path)).isDirectory()) throw new FileError(say`it is not a folder`);
}

export const command: Command = {
  usage: say`[FOLDER]`,
  about: [
    say`Serves an assistant that writes plans: a Model Context Protocol server over standard input and output, with the tools check, explain, tasks and compare. It reads files inside FOLDER (the current one unless stated), writes nothing and uses no network. Every answer carries the caution that it releases no vehicle for work.`,
  ],
  options,
  completes: { files: true },
  examples: [['plugward mcp plans', say`as the command of a server in the assistant's settings`]],
  async run(args) {
    const { positionals } = readArguments(options, args);
    if (positionals.length > 1) throw new UsageError(say`Name one folder.`);
    const folder = positionals[0] ?? '.';
    const root = resolve(folder);
    await requireFolder(root).catch((error: unknown) => {
      if (!isOutside(error)) throw error;
      throw new UsageError(say`${printable(folder)} was not read: ${reasonOf(error)}.`);
    });
    // Loaded here, so that no other command waits for it.
    const [{ Server }, { StdioServerTransport }, { CallToolRequestSchema, ListToolsRequestSchema }] =
      await Promise.all([
        import('@modelcontextprotocol/sdk/server/index.js'),
        import('@modelcontextprotocol/sdk/server/stdio.js'),
        import('@modelcontextprotocol/sdk/types.js'),
      ]);
    const instructions = [localizeOutput(caution), localizeOutput(release)].join(' ');
    const server = new Server({ name: 'plugward', version }, { capabilities: { tools: {} }, instructions });
    server.setRequestHandler(ListToolsRequestSchema, () => ({
      tools: tools.map(({ name, description, properties, required = [] }) => ({
        name,
        description,
        inputSchema: {
          type: 'object' as const,
          properties,
          required: [...required],
          additionalProperties: false,
        },
        annotations: { readOnlyHint: true, openWorldHint: false },
      })),
    }));
    server.setRequestHandler(CallToolRequestSchema, ({ params }) =>
      call(params.name, params.arguments ?? {}, root),
    );
    const ended = new Promise<void>((done) => process.stdin.once('end', done).once('close', done));
    await server.connect(new StdioServerTransport());
    await ended;
    await server.close();
    return 0;
  },
};
