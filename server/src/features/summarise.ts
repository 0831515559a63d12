import { numbersOf } from '../base/numbers.ts';
import type { Numbers } from '../base/numbers.ts';
import { LineIndex } from '../text/line-index.ts';
import { rangeOf } from '../text/span.ts';
import { photosIn, usesOf } from '../workspace/named-files.ts';
import { isPrintOf, kept, NameTable, printOf, SymbolTable } from '../workspace/summary.ts';
import type { NameTableData, Summary, SymbolTableData } from '../workspace/summary.ts';
import type { Workspace } from '../workspace/workspace.ts';
import { pathsIn } from './file-rename.ts';
import { writtenNames } from './names.ts';
import { symbolsIn } from './outline.ts';
import { exactStart, isBroken } from './view.ts';

/**
 * What others need of a file, in place of its text and its tree. Nothing in it refers to these. Undefined for a file of which
 * no tree is there.
 */
function summarise(workspace: Workspace, uri: string): Summary | undefined {
  const plan = workspace.plan(uri);
  if (!plan) return undefined;
  const { document } = plan;
  const names = writtenNames(plan).map((name) => {
    const { start, end } = rangeOf(name.span);
    const from = exactStart(document.slice(start, end), name.id);
    return { name, start, end, exact: from === undefined ? undefined : start + from };
  });
  return {
    kind: document.kind,
    print: printOf(document.text),
    lines: new LineIndex({ starts: numbersOf(document.lines.starts), length: document.text.length }),
    isBroken: isBroken(plan),
    uses: usesOf(document).map(({ path, uri: target }) => ({ path: kept(path), uri: kept(target) })),
    photos: photosIn(document).map((photo) => kept(photo.uri)),
    paths: pathsIn(workspace, uri).map((writtenPath) => ({
      ...writtenPath,
      path: kept(writtenPath.path),
      target: kept(writtenPath.target),
    })),
    names: NameTable.of(names),
    symbols: SymbolTable.of(symbolsIn(workspace, uri)),
  };
}

type Data = Omit<Summary, 'lines' | 'names' | 'symbols'> & {
  readonly names: NameTableData;
  readonly symbols: SymbolTableData;
};

/** A summary in two parts. */
export interface SummaryParts {
  /** What JSON can hold. */
  readonly data: unknown;
  /** The starts of its lines and the rows of its tables: JSON would take longer to read than all the rest. */
  readonly rows: readonly Numbers[];
}

export function summaryParts({ lines, ...rest }: Summary): SummaryParts {
  return { data: rest, rows: [numbersOf(lines.starts), rest.names.rows, rest.symbols.rows] };
}

/** The inverse of `summaryParts`. */
export function summaryFrom({ data, rows }: SummaryParts): Summary {
  const { names, symbols, ...rest } = data as Data;
  return {
    ...rest,
    lines: new LineIndex({ starts: rows[0]!, length: rest.print.length }),
    names: NameTable.from(names, rows[1]!),
    symbols: SymbolTable.from(symbols, rows[2]!),
  };
}

/** Whether a summary was made from this text. */
export const isSummaryOf = ({ print }: Summary, text: string): boolean => isPrintOf(print, text);

/**
 * Keeps of a plan only its summary, unless another file uses it.
 * @param before an earlier summary, which holds while the text is the same
 */
export function condense(workspace: Workspace, uri: string, before?: Summary): void {
  if (workspace.kind(uri) !== 'repair-plan') return;
  const isSame = before && isSummaryOf(before, workspace.text(uri) ?? '');
  const summary = isSame ? before : summarise(workspace, uri);
  if (summary) workspace.condense(uri, summary);
}
