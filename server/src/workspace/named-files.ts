import { URI, Utils } from 'vscode-uri';
import type { Document } from '../document/document.ts';
import { mapsIn } from '../document/node.ts';
import type { ListNode, MapNode, ScalarNode } from '../document/node.ts';
import type { RepairPlan } from '../generated/repair-plan.ts';
import { memoByIdentity } from '../incremental/memo.ts';

/** A file that is named under `uses:`. */
export interface NamedFile {
  readonly path: string;
  readonly uri: string;
}

/** A resolved `uses:` entry. */
export interface Use extends NamedFile {
  readonly node: ScalarNode<string>;
}

/** The entries under `uses:` that the schema lets pass. */
export const usesOf = memoByIdentity((document: Document): readonly Use[] => {
  const root = document.root as MapNode<{ uses?: string[] }> | undefined;
  const list: ListNode<string> | undefined = root?.get('uses');
  return (list?.items ?? []).flatMap((node) => {
    if (node.rejectedBySchema || node.kind !== 'scalar' || typeof node.value !== 'string') return [];
    return [{ path: node.value, uri: resolve(document.uri, node.value), node }];
  });
});

/** A photograph that a plan names as evidence. */
interface Photo {
  readonly uri: string;
  readonly node: ScalarNode<string>;
}

/** The photographs that a plan names. */
export function photosIn(document: Document): readonly Photo[] {
  const root = document.root as MapNode<Pick<RepairPlan, 'evidence'>> | undefined;
  const list = document.kind === 'repair-plan' ? root?.get('evidence') : undefined;
  return list ? photosListed(list) : [];
}

const photosListed = memoByIdentity(
  (list: ListNode<NonNullable<RepairPlan['evidence']>[number]>): readonly Photo[] =>
    mapsIn(list).flatMap((entry) => {
      const node = entry.get('photo');
      const uri = node && photoUri(node);
      return uri === undefined ? [] : [{ uri, node: node! }];
    }),
);

/** Where a photograph lies that a plan names; undefined for what is no path, such as a web address. */
export function photoUri({ value, span }: ScalarNode<string>): string | undefined {
  const path = value.trim();
  return path === '' || /^[a-z][a-z0-9+.-]+:/i.test(path) ? undefined : resolve(span.origin.uri, path);
}

/** The address of a file that a file names by a path relative to itself. */
export function resolve(from: string, path: string): string {
  // Replace lone surrogates; they cannot be encoded in a URI.
  const whole = path.replace(/\p{Surrogate}/gu, '\uFFFD').replaceAll('\\', '/');
  return Utils.resolvePath(Utils.dirname(URI.parse(from)), whole).toString();
}
