import { writeFile } from 'node:fs/promises';
import { resolve } from 'node:path';
import { kindOf } from '../document/kind.ts';
import { printable } from '../report/listing/printable.ts';
import { UsageError } from './arguments.ts';
import type { Option } from './arguments.ts';
import { reasonOf } from './files.ts';
import { uriOf } from './targets.ts';
import { complain, say } from './terminal.ts';

export const outputOption = {
  type: 'string',
  short: 'o',
  value: 'FILE',
  help: 'write to FILE instead of standard output',
} as const satisfies Option;

/** @throws UsageError when a print would take the place of a document. */
export function readOutput(output: string | undefined): string | undefined {
  if (output !== undefined && kindOf(uriOf(resolve(output)))) {
    throw new UsageError(
      `${output} is the name of a plan, procedure, list or sheet; choose another for the print.`,
    );
  }
  return output;
}

/** Writes `text` to the file `output`, or to standard output without one. Whether it could be written. */
export async function write(output: string | undefined, text: string): Promise<boolean> {
  if (output === undefined) {
    say(text);
    return true;
  }
  try {
    await writeFile(output, text);
    return true;
  } catch (error) {
    complain(`${printable(output)} was not written: ${reasonOf(error)}.`);
    return false;
  }
}
