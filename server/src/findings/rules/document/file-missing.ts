import { fileName } from '../../../base/file-name.ts';
import type { Document } from '../../../document/document.ts';
import { spanOfMistake } from '../../../document/validate.ts';
import type { ListNode, ScalarNode } from '../../../document/node.ts';
import { memoByIdentity } from '../../../incremental/memo.ts';
import { say } from '../../../language/phrase.ts';
import { definitionGroups, takenAgain } from '../../../plan/symbols.ts';
import type { Span } from '../../../text/span.ts';
import type { FindingRule } from '../../finding.ts';
import { everyKind } from '../../finding.ts';

export const fileMissing: FindingRule = {
  id: 'file-missing',
  title: say`A file named under \`uses\` cannot be read`,
  severity: 'error',
  page: () => ({
    means: say`A path under \`uses:\` leads to no file, to a file outside the workspace, to a file of no known kind, or to one with an error in its text.`,
    why: say`What that file would define is unknown, so whatever depends on it is not checked; it is reported only here.`,
    whatToDo: say`Correct the path, which is read from the folder of the file it is written in; or correct the error in the file itself.`,
    source: say`Rule of the plan language.`,
    example: {
      wrong: `uses: [./example.rate-shet.yaml]
operations: []
`,
      right: `uses: [./example.rate-sheet.yaml]
operations: []
`,
    },
  }),
  kinds: everyKind,
  ground: 'text',
  *check({ plan }) {
    for (const { path, span, reason } of plan.scope.unresolved) {
      const wrong =
        reason === 'unknown-kind'
          ? say`"${path}" is not a kind of file Plugward reads. Its name must end in .rate-sheet.yaml, .connector-list.yaml or .shop-procedure.yaml.`
          : say`"${path}" is missing or outside the workspace. What it would define is not checked; correct the path.`;
      yield { at: span, message: wrong };
    }
    const uses = plan.section('uses') as ListNode<string> | undefined;
    for (const used of plan.scope.used) {
      const fault = faultOf(used);
      if (!fault) continue;
      const name = fileName(used.uri);
      const items = (uses?.items ?? []) as readonly ScalarNode<string>[];
      const at = items.find(({ value }) => String(value).endsWith(name))?.span ?? uses?.span;
      if (!at) continue;
      yield {
        at,
        message: say`${name} has an error in its text, so a part of it is not read, and dangers that rest on that part are not told here. Correct ${name}.`,
        trace: [{ at: fault, message: say`the error` }],
      };
    }
  },
};

/** What the safety of the work rests on. */
const grounds: ReadonlySet<string> = new Set(['connectors', 'zones', 'tasks', 'consumables', 'operations']);

/** Where something stands in a used file that is not read, of what the safety of the work rests on. */
const faultOf = memoByIdentity((used: Document): Span | undefined => {
  const { problems, mistakes } = used;
  if (problems.length > 0) return problems[0]!.span;
  const mistake = mistakes.find(({ path, keyword }) =>
    path.length === 0 ? keyword === 'additionalProperties' : grounds.has(String(path[0])),
  );
  if (mistake) return spanOfMistake(mistake);
  return definitionGroups(used, 'connector').flatMap((group) => takenAgain(group))[0]?.mention.span;
});
