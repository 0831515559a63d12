import { say } from '../language/phrase.ts';
import type { Phrase } from '../language/phrase.ts';
import type { Command, NamedCommand } from './command.ts';

// Load sub-commands on demand, so that help and usage errors are instant.
export const commands: Readonly<
  Record<string, readonly [summary: Phrase, load: () => Promise<{ command: Command }>]>
> = {
  check: [say`check plans and the files they use`, () => import('./check.ts')],
  fix: [say`fix what can be fixed`, () => import('./fix.ts')],
  compare: [say`say what changed between two versions of a plan`, () => import('./compare.ts')],
  merge: [say`put the parts of a split run together`, () => import('./merge.ts')],
  explain: [say`explain a finding`, () => import('./explain.ts')],
  report: [say`print a job card, an estimate or a review`, () => import('./report.ts')],
  heat: [say`estimate the heat of power connectors`, () => import('./heat.ts')],
  tasks: [
    say`print the table of tasks and what they need, make and end`,
    async () => ({ command: (await import('./tables.ts')).tasks }),
  ],
  zones: [say`print the table of zones`, async () => ({ command: (await import('./tables.ts')).zones })],
  mcp: [say`serve an assistant that writes plans`, () => import('./mcp.ts')],
  completion: [
    say`print what a shell needs to complete command lines`,
    async () => ({ command: (await import('./completion.ts')).completionOf(allCommands) }),
  ],
};

export const allCommands = (): Promise<NamedCommand[]> =>
  Promise.all(
    Object.entries(commands).map(async ([name, [summary, load]]) => ({
      ...(await load()).command,
      name,
      summary,
    })),
  );
