import { rewrite } from '../../../document/edits.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { everyKind } from '../../finding.ts';
import { fix } from '../../support/mending.ts';

export const fileMisspelled: FindingRule = {
  id: 'file-misspelled',
  title: say`A file named under \`uses\` is called otherwise`,
  severity: 'warning',
  page: () => ({
    means: say`A path under \`uses:\` differs from the name of the file in capitals, or in how an accented letter is composed. The file is read all the same.`,
    why: say`Windows and macOS find the file by either name. A build server or another computer may not, and what the file defines is then missing there.`,
    whatToDo: say`Write the path as the file is called.`,
    source: say`Rule of the plan language.`,
    example: {
      wrong: `uses: [./Example.rate-sheet.yaml]
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
    for (const { path, called, node } of plan.scope.misspelled) {
      const accents = path.normalize('NFC') === called.normalize('NFC');
      yield {
        at: node.span,
        message: accents
          ? say`"${path}" composes an accented letter in another way than the name of the file. Where that counts, as on most build servers, the file is missing; let the fix write its name.`
          : say`"${path}" is called "${called}". Where capitals count, as on most build servers, the file is missing; write its name as it is.`,
        fixes: () => [fix(say`Write "${called}"`, [rewrite(node, JSON.stringify(called))], true)],
      };
    }
  },
};
