import { version } from '../../../package.json';
import { caution } from '../features/caution.ts';
import { explain } from '../features/explain.ts';
import { findings } from '../findings/registry.ts';
import { languageOf } from '../language/language.ts';
import { annotationsPrintout } from '../report/listing/annotations.ts';
import { codeQualityPrintout } from '../report/listing/code-quality.ts';
import { humanPrintout } from '../report/listing/human.ts';
import { jsonPrintout } from '../report/listing/json.ts';
import { junitPrintout } from '../report/listing/junit.ts';
import { linesPrintout } from '../report/listing/lines.ts';
import type { ListingFormat, Severity } from '../report/listing/listing.ts';
import { sarifPrintout } from '../report/listing/sarif.ts';
import { shownName } from './gather.ts';
import { uriOf } from './targets.ts';
import { paintIn } from './terminal.ts';

export const listings = ['human', 'lines', 'json', 'sarif', 'junit', 'code-quality', 'annotations'] as const;
export type ListingName = (typeof listings)[number];

/** One of the printouts of a run. */
interface Print {
  readonly format: ListingName;
  readonly colour: boolean;
  /** Whether the signs around a quoted line are plain ASCII. */
  readonly ascii: boolean;
}

/** How the findings are to be listed: plain data, so that it can be handed to another thread. */
export interface ListingOptions {
  readonly prints: readonly Print[];
  /** The folder the command runs in. */
  readonly cwd: string;
  /** Root of the repository around it. */
  readonly root: string;
  /** Columns of the terminal. */
  readonly width: number;
  readonly statistics: boolean;
  /** Leave out what is milder, and the summary. */
  readonly only?: Severity | undefined;
  /** The mildest severity that makes the check fail. */
  readonly failOn: Severity;
  /** Tag of the language; English when undefined. */
  readonly language: string | undefined;
}

/** @param name the name of a file as the person at the terminal knows it */
export const printoutsOf = (
  look: ListingOptions,
  name = (uri: string): string => shownName(uri, look.cwd),
): ListingFormat[] => look.prints.map((print) => printoutOf(print, look, name));

function printoutOf(
  { format, colour, ascii }: Print,
  look: ListingOptions,
  name: (uri: string) => string,
): ListingFormat {
  const nameInRepository = (uri: string): string => shownName(uri, look.root);
  switch (format) {
    case 'human': {
      const titles = new Map(findings.map(({ id, title }) => [id, title]));
      const { width, statistics, only } = look;
      const paint = paintIn(colour);
      const language = languageOf(look.language);
      const title = (id: string): string | undefined => titles.get(id)?.in(language);
      return humanPrintout({ width, paint, ascii, name, caution, title, statistics, only, language });
    }
    case 'json':
      return jsonPrintout({ version, name });
    case 'annotations':
      return annotationsPrintout({ name: nameInRepository });
    case 'lines':
      return linesPrintout({ name, only: look.only });
    case 'junit':
      return junitPrintout({ name, failOn: look.failOn });
    case 'code-quality':
      return codeQualityPrintout({ name: nameInRepository });
    case 'sarif':
      return sarifPrintout({
        version,
        root: uriOf(look.root).replace(/\/?$/, '/'),
        rules: findings.map(({ id, severity, title, page }) => ({
          id,
          severity,
          title: String(title),
          means: String(page().means),
          page: explain(id) ?? '',
        })),
      });
  }
}
