import type { Finding } from '../findings/finding.ts';
import { findingById } from '../findings/registry.ts';
import { caution } from './caution.ts';

const severityWords = { error: 'error', warning: 'warning', information: 'information' } as const;

export const isFinding = (id: string): boolean => findingById.has(id);

/** The documentation page of a finding in Markdown, made from its file; undefined for an id that does not exist. */
export function explain(id: string): string | undefined {
  const finding = findingById.get(id);
  return finding && page(finding);
}

function page(finding: Finding): string {
  const block = (text: string): string => '```yaml\n' + text.trimEnd() + '\n```';
  return `# ${finding.id}: ${finding.title}

${finding.means}

**Why it matters.** ${finding.why}

**What to do.** ${finding.todo}

Usual severity: ${severityWords[finding.severity]}. Source: ${finding.source}

## Wrong

${block(finding.example.wrong)}

## Right

${block(finding.example.right)}

## Switching it off

For one plan, with a reason, a person and a last day:

${block(`accepted:\n  - { finding: ${finding.id}, reason: Why it is acceptable here., by: Who answers for it, until: 2027-03-01 }`)}

For the whole shop, in its rate sheet:

${block(`plugward:\n  severities: { ${finding.id}: information }   # error, warning, information or off`)}

---

${caution}
`;
}
