import type { Document } from '../../../document/document.ts';
import type { ScalarNode } from '../../../document/node.ts';
import { sourcesIn } from '../../../plan/sources.ts';
import { andList, say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { commonPractice, everyKind } from '../../finding.ts';

export const sourceStale: FindingRule = {
  id: 'source-stale',
  title: say`A source consulted too long ago`,
  severity: 'warning',
  page: () => ({
    means: say`A plan's source was consulted before its vehicle came into the shop; or a source, here or in a file the plan uses, is older than the shop allows (\`sources-kept-for\` in its rate sheet).`,
    why: say`Vehicle makers change their procedures; last year's edition may leave out what this vehicle needs.`,
    whatToDo: say`Look the document up again for this vehicle, and note the edition and the date.`,
    source: commonPractice,
    example: {
      wrong: `vehicle: { description: Kestrel (invented), propulsion: hybrid, arrived: 2027-02-01 }
sources: [{ id: S1, title: Doors of the Kestrel (invented), consulted: 2027-01-15 }]
operations: []
`,
      right: `vehicle: { description: Kestrel (invented), propulsion: hybrid, arrived: 2027-02-01 }
sources: [{ id: S1, title: Doors of the Kestrel (invented), consulted: 2027-02-03 }]
operations: []
`,
    },
  }),
  kinds: everyKind,
  ground: 'names',
  *check({ plan, document, judgedOn }) {
    const arrived = plan.root?.get('vehicle')?.get('arrived')?.value;
    const kept = plan.scope.policy.sourcesKeptFor;
    const age = (day: string): number => daysBetween(day, judgedOn ?? day);
    const old = (day: string): boolean => kept !== undefined && age(day) > kept.si / 86_400;
    for (const { id, consulted } of dated(document)) {
      if (arrived !== undefined && consulted.value < arrived) {
        yield {
          at: consulted.span,
          message: say`${id} was consulted on ${consulted.value}, before the vehicle arrived on ${arrived}. Look it up again for this vehicle, and note the day.`,
        };
      } else if (old(consulted.value)) {
        yield {
          at: consulted.span,
          message: say`${id} was consulted ${age(consulted.value)} days ago; the shop accepts ${kept!.text}. Look it up again, and note the date.`,
        };
      }
    }
    if (document.kind !== 'repair-plan') return;
    for (const node of plan.root?.get('uses')?.items ?? []) {
      if (node.rejectedBySchema) continue;
      const name = node.value.slice(Math.max(node.value.lastIndexOf('/'), node.value.lastIndexOf('\\')) + 1);
      const file = plan.scope.used.find(({ uri }) => decoded(uri).endsWith(`/${name}`));
      // The rate sheet sets this rule, so it is checked as well.
      if (!file || file.kind === 'rate-sheet') continue;
      const stale = dated(file).filter(({ consulted }) => old(consulted.value));
      if (stale.length === 0) continue;
      yield {
        at: node.span,
        message: say`${name} rests on ${andList(stale.map(({ id }) => id))}, consulted ${Math.max(...stale.map(({ consulted }) => age(consulted.value)))} days ago; the shop accepts ${kept!.text}. Have it looked up again.`,
        trace: stale.map(({ id, consulted }) => ({
          at: consulted.span,
          message: say`${id} was consulted on ${consulted.value}`,
        })),
      };
    }
  },
};

function dated(document: Document): { id: string; consulted: ScalarNode<string> }[] {
  return sourcesIn(document).flatMap((node) => {
    const id = node.get('id')?.value;
    const consulted = node.get('consulted');
    return id !== undefined && consulted ? [{ id, consulted }] : [];
  });
}

const daysBetween = (from: string, to: string): number =>
  Math.floor((Date.parse(to) - Date.parse(from)) / 86_400_000);

/** The URI decoded for display; returned unchanged if it cannot be decoded. */
function decoded(uri: string): string {
  try {
    return decodeURIComponent(uri);
  } catch {
    return uri;
  }
}
