import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { everyKind } from '../../finding.ts';

export const fileMissing: FindingRule = {
  id: 'file-missing',
  title: say`A file named under \`uses\` cannot be read`,
  severity: 'error',
  means: say`A path under \`uses:\` leads to no file, to a file outside the workspace, or to a file of no known kind.`,
  why: say`What that file would define is unknown, so whatever depends on it is not checked; it is reported only here.`,
  whatToDo: say`Correct the path. It is read from the folder of the file it is written in.`,
  source: say`Rule of the plan language.`,
  kinds: everyKind,
  ground: 'text',
  example: {
    wrong: `uses: [./example.rate-shet.yaml]
operations: []
`,
    right: `uses: [./example.rate-sheet.yaml]
operations: []
`,
  },
  *check({ plan }) {
    for (const { path, span, reason } of plan.scope.unresolved) {
      const wrong =
        reason === 'unknown-kind'
          ? say`"${path}" is not a kind of file Plugward reads. Its name must end in .rate-sheet.yaml, .connector-list.yaml or .shop-procedure.yaml.`
          : say`"${path}" is missing or outside the workspace. What it would define is not checked; correct the path.`;
      yield { at: span, message: wrong };
    }
  },
};
