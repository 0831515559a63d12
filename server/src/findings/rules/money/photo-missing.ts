import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';

export const photoMissing: FindingRule = {
  id: 'photo-missing',
  title: say`A photograph that the plan names is not there`,
  severity: 'information',
  page: () => ({
    means: say`A path under \`evidence:\` leads to no file, or to one outside the workspace. Only its existence is checked; the photograph itself is not looked at.`,
    why: say`An estimate without the photograph shows nothing of the step. While the work is still to be done it is a reminder; a shop may set it to \`warning\`.`,
    whatToDo: say`Take the photograph, copy it to this place, or correct the path. It is read from the folder of the plan.`,
    source: say`Rule of the plan language.`,
    example: {
      wrong: `operations:
  - { id: op30, do: cover, connectors: [inverter-dc], using: dummy-plug }
evidence:
  - { for: op30, photo: ./photos/op03.jpg }
`,
      right: `operations:
  - { id: op30, do: cover, connectors: [inverter-dc], using: dummy-plug }
evidence:
  - { for: op30, photo: ./photos/op30.jpg }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'text',
  *check({ plan }) {
    for (const { value, span } of plan.scope.missingPhotos) {
      yield {
        at: span,
        message: say`The photograph "${value.trim()}" is missing or outside the workspace, so nothing shows what it was taken for. Take it, or correct the path.`,
      };
    }
  },
};
