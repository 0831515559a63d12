import type { Phrase, Value } from '../language/phrase.ts';
import type { Options } from './arguments.ts';

/** One sub-command: what its help says, and what it does. */
export interface Command {
  /** What follows the name in the usage line. */
  readonly usage: Value;
  /** Paragraphs. */
  readonly about: readonly Phrase[];
  readonly options: Options;
  /** What a shell completes: words in the first place, and whether files follow. */
  readonly completes: { readonly first?: readonly string[]; readonly files: boolean };
  readonly examples: readonly (readonly [command: string, does: Phrase])[];
  /**
   * @returns the exit code.
   * @throws UsageError when the arguments are not understood.
   */
  run(args: readonly string[]): Promise<number>;
}

/** A command with its name and what the overview says of it. */
export interface NamedCommand extends Command {
  readonly name: string;
  readonly summary: Phrase;
}
