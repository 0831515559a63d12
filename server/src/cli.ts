import { own } from './base/collections.ts';
import { version } from '../../package.json';
import { didYouMean, languageIn, UsageError, withoutLanguage } from './cli/arguments.ts';
import type { Command } from './cli/command.ts';
import { commands } from './cli/commands.ts';
import { isOutside, reasonOf } from './cli/reasons.ts';
import { helpFor, overview } from './cli/help.ts';
import { joined, say } from './language/phrase.ts';
import { nearest } from './base/nearest.ts';
import { printError, writeOutput, setLanguage, widthOf } from './cli/terminal.ts';
import { threadArgument } from './cli/thread-argument.ts';

/** The commit it was built from, put in by the build; empty where there was no history. */
declare const __PLUGWARD_COMMIT__: string;
const commit = __PLUGWARD_COMMIT__;

async function commandNamed(name: string): Promise<Command> {
  const entry = own(commands, name);
  if (!entry) {
    const guess = nearest(name, Object.keys(commands));
    throw new UsageError(say`There is no command '${name}'.${didYouMean(guess)} See 'plugward help'.`);
  }
  return (await entry[1]()).command;
}

async function run(args: readonly string[]): Promise<number> {
  // Help takes `--language` on either side of its word.
  const help = withoutLanguage(args);
  const [first, ...rest] = ['help', '--help', '-h'].includes(help[0] ?? '') ? help : args;
  const width = widthOf(process.stdout);
  const all = overview(
    Object.entries(commands).map(([name, [summary]]) => [name, summary] as const),
    width,
  );
  if (first === undefined) {
    process.stderr.write(all);
    return 2;
  }
  if (first === '--version' || first === '-V') {
    writeOutput(commit === '' ? `plugward ${version}\n` : `plugward ${version} (${commit})\n`);
    return 0;
  }
  const asksHelp = first === 'help' || first === '--help' || first === '-h';
  const subject = asksHelp ? rest[0] : first;
  if (subject === undefined) {
    writeOutput(all);
    return 0;
  }
  const command = await commandNamed(subject);
  const beforeDashes = rest.includes('--') ? rest.slice(0, rest.indexOf('--')) : rest;
  if (asksHelp || beforeDashes.includes('--help') || beforeDashes.includes('-h')) {
    writeOutput(helpFor(subject, command, width));
    return 0;
  }
  return command.run(rest);
}

// A reader that has seen enough closes the pipe; that is no failure. A full disk is.
for (const stream of [process.stdout, process.stderr]) {
  stream.on('error', (error: NodeJS.ErrnoException) => {
    if (error.code === 'EPIPE') return;
    printError(say`${say`the output`} was not written: ${reasonOf(error)}.`);
    process.exit(2);
  });
}

/** Whether this is a thread of a run that has begun already. */
let isThread = false;

const start = async (): Promise<void> => {
  if (process.argv[2] === threadArgument && !(await import('node:worker_threads')).isMainThread) {
    isThread = true;
    return (await import('./cli/worker.ts')).runWorker();
  }
  const args = process.argv.slice(2);
  setLanguage(languageIn(args));
  // Should the run stop in the middle, with nothing left to wait for, it has not succeeded.
  process.exitCode = 2;
  process.exitCode = await run(args);
};

start().catch((error: unknown) => {
  // In a worker thread, the main thread rechecks this thread's files.
  if (isThread) throw error;
  process.exitCode = 2;
  if (error instanceof UsageError) printError(error.words);
  else if (isOutside(error)) printError(say`it could not go on: ${reasonOf(error)}.`);
  else
    printError(
      joined([say`this should not happen; please report it.`, (error as Error).stack ?? String(error)], '\n'),
    );
});
