import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';
import { someOf } from '../../support/needs.ts';

export const errorsLowered: FindingRule = {
  id: 'errors-lowered',
  title: say`Errors about safety that are switched off or lowered`,
  severity: 'warning',
  page: () => ({
    means: say`The shop's rate sheet, or the settings of the editor or the command line, switch off an error about the order or the safety of the work, or about a text that cannot be used, or lower it. This warning itself can neither be switched off nor accepted.`,
    why: say`A plan that can hurt somebody then looks clean, or releases work, and nobody who reads it sees why.`,
    whatToDo: say`Leave errors about safety as they are. Where one is wrong for a single plan, accept it there, with the reason, the person and a last day; an error of the text is corrected.`,
    source: say`Rule of the plan language.`,
    example: {
      wrong: `operations:
  - { id: op10, do: consult }
uses: [./example.rate-sheet.yaml, ./lax.rate-sheet.yaml]
`,
      right: `operations:
  - { id: op10, do: consult }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'text',
  isFixed: true,
  *check({ document, plan, loweredErrors: { ofWork, ofText } }) {
    const at =
      plan.root?.entries.find(({ key }) => key === 'uses')?.keySpan ?? document.root?.entries[0]?.keySpan;
    if (!at) return;
    if (ofWork.length > 0) {
      yield {
        at,
        message:
          ofWork.length === 1
            ? say`${ofWork[0]!} is an error about safety, and the rate sheet or the settings switch it off or lower it: a plan that can hurt somebody looks clean. Switch it on again; accept it in a single plan where it is wrong there.`
            : say`${someOf(ofWork)} are errors about safety, and the rate sheet or the settings switch them off or lower them: a plan that can hurt somebody looks clean. Switch them on again; accept one in a single plan where it is wrong there.`,
      };
    }
    if (ofText.length > 0) {
      yield {
        at,
        message:
          ofText.length === 1
            ? say`${ofText[0]!} tells of a text that cannot be used, and the rate sheet or the settings switch it off or lower it: nothing is checked there, and the plan looks clean. Switch it on again, and correct the text.`
            : say`${someOf(ofText)} tell of a text that cannot be used, and the rate sheet or the settings switch them off or lower them: nothing is checked there, and the plan looks clean. Switch them on again, and correct the text.`,
      };
    }
  },
};
