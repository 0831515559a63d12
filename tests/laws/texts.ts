import { readFileSync, readdirSync } from 'node:fs';
import path from 'node:path';
import { parse } from 'yaml';
import { root, samples } from '../support/files.ts';
import { exampleFiles, wholePlan } from '../support/frame.ts';

/** A file among the files it uses. */
export interface Text {
  readonly name: string;
  readonly text: string;
  readonly files: Readonly<Record<string, string>>;
}

/** Every row of the findings' fixtures. */
export const fixtures: Text[] = readdirSync(path.join(root, 'tests/findings'))
  .filter((file) => file.endsWith('.yaml'))
  .flatMap((file) =>
    (
      parse(readFileSync(path.join(root, 'tests/findings', file), 'utf8')) as {
        file?: string;
        text: string;
        files?: object;
      }[]
    ).map((one) => ({
      name: one.file ?? 'one.repair-plan.yaml',
      text: one.file ? one.text : wholePlan(one.text),
      files: { ...exampleFiles, ...(one.files as Record<string, string>) },
    })),
  );
export const shipped: Text[] = Object.entries(samples()).map(([name, text]) => ({
  name,
  text,
  files: samples(),
}));
