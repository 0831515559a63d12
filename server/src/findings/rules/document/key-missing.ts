import type { SchemaViolation } from '../../../document/validate.ts';
import { documentWords } from '../../../document/kind.ts';
import { nearest } from '../../../base/nearest.ts';
import { keysOf } from '../../../document/node.ts';
import type { AnyNode, Entry } from '../../../document/node.ts';
import type { Span } from '../../../text/span.ts';
import { orList, say } from '../../../language/phrase.ts';
import type { Phrase } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { everyKind } from '../../finding.ts';

export const keyMissing: FindingRule = {
  id: 'key-missing',
  title: say`An entry lacks what it needs`,
  severity: 'error',
  page: () => ({
    means: say`An entry lacks a key that it needs.`,
    why: say`A step without a task, or a connector without a class, cannot be checked.`,
    whatToDo: say`Add the key.`,
    source: say`Rule of the plan language (JSON Schema of the document).`,
    example: {
      wrong: `operations:
  - { id: op20, zone: quarter-left }
`,
      right: `operations:
  - { id: op20, do: grind, zone: quarter-left }
`,
    },
  }),
  kinds: everyKind,
  ground: 'text',
  *check({ document, plan }) {
    for (const mistake of document.mistakes) {
      const { keyword, node, params } = mistake;
      if (keyword === 'required') {
        const missing = String(params['missingProperty']);
        if (misspelt(document.mistakes, node, missing)) continue;
        const top = mistake.path.length === 0;
        yield {
          at: head(node, mistake.entry),
          message: top
            ? say`This file has no \`${missing}:\`, and without it cannot be read as a ${documentWords[document.kind]}. Add it.`
            : say`${nameOf(mistake, node)} has no \`${missing}:\`, and without it the entry is incomplete. Add it.`,
        };
      } else if (keyword === 'oneOf') {
        const keys = keysOf(node);
        const both = keys.has('do') && keys.has('follow');
        if (!both && ['do', 'follow'].some((key) => misspelt(document.mistakes, node, key))) continue;
        yield {
          at: head(node, mistake.entry),
          message: both
            ? say`${nameOf(mistake, node)} has both \`do:\` and \`follow:\`; a step does one thing. Split it in two.`
            : say`${nameOf(mistake, node)} does not say what is done. Add \`do:\` with a task, or \`follow:\` with a procedure.`,
        };
      }
    }
    if (document.kind !== 'repair-plan') return;
    const listMissing = plan.scope.unresolved.some(({ kind }) => kind === 'connector-list');
    for (const connector of plan.scope.connectors.values()) {
      if (listMissing || connector.span.origin.uri !== document.uri) continue;
      // Fast path: most have both.
      if (connector.class !== undefined && connector.zone !== undefined) continue;
      const missing = (['class', 'zone'] as const).filter(
        (key) => !connector.nodes.some((node) => node.entry(key)),
      );
      if (missing.length === 0) continue;
      yield {
        at: connector.span,
        connector: connector.id,
        message: say`${connector.id} has no ${orList(missing.map((key) => `\`${key}\``))} here or in a list, so nothing about it can be checked. Add \`${missing[0]!}:\`, or name its connector list under \`uses:\`.`,
      };
    }
  },
};

/** A misspelt key is reported as unknown, not also as missing. */
function misspelt(mistakes: readonly SchemaViolation[], node: AnyNode, missing: string): boolean {
  const unknown = mistakes.flatMap((other) =>
    other.node === node && typeof other.params['additionalProperty'] === 'string'
      ? [other.params['additionalProperty']]
      : [],
  );
  return unknown.some((key) => nearest(key, [missing]) !== undefined);
}

/** The first key of an entry; underlining the whole entry would be too much red. */
function head(node: AnyNode, entry: Entry | undefined): Span {
  const first = node.kind === 'map' ? node.entries[0] : undefined;
  if (!first) return entry?.keySpan ?? node.span;
  const { keySpan, value } = first;
  if (value.kind !== 'scalar' || value.span.origin !== keySpan.origin) return keySpan;
  return new SpanOfKeyAndValue(keySpan, value);
}

/** Computed from live spans, so that a cached report moves with the text. */
class SpanOfKeyAndValue implements Span {
  constructor(
    readonly keySpan: Span,
    readonly value: AnyNode,
  ) {}

  get origin(): Span['origin'] {
    return this.keySpan.origin;
  }
  get from(): number {
    return this.keySpan.from;
  }
  get to(): number {
    return Math.max(this.keySpan.to, this.value.span.to);
  }
}

function nameOf({ path, entry }: SchemaViolation, node: AnyNode): Phrase {
  const id = node.kind === 'map' ? node.entry('id')?.value : undefined;
  if (id?.kind === 'scalar' && id.value !== null) return say`${String(id.value)}`;
  const last = path.at(-1);
  if (typeof last === 'number') return say`Entry ${last + 1} of ${String(path.at(-2))}`;
  return entry ? say`\`${entry.key}\`` : say`This entry`;
}
