import { readFileSync, readdirSync } from 'node:fs';
import path from 'node:path';
import ts from 'typescript';
import { root } from './files.ts';

export const sources = path.join(root, 'server/src');

/** Every template behind a `say` in a folder of the sources, as the compiler reads them. */
export function templatesIn(folder: string): Set<string> {
  const found = new Set<string>();
  for (const name of readdirSync(path.join(sources, folder), { recursive: true, encoding: 'utf8' })) {
    if (!name.endsWith('.ts') || name.startsWith('generated')) continue;
    const text = readFileSync(path.join(sources, folder, name), 'utf8');
    const visit = (node: ts.Node): void => {
      if (ts.isTaggedTemplateExpression(node) && node.tag.getText() === 'say') {
        const { template } = node;
        const words = ts.isNoSubstitutionTemplateLiteral(template)
          ? template.text
          : template.head.text +
            template.templateSpans.map(({ literal }, i) => `{${i}}${literal.text}`).join('');
        found.add(words);
      }
      ts.forEachChild(node, visit);
    };
    if (text.includes('say`')) visit(ts.createSourceFile(name, text, ts.ScriptTarget.ESNext, true));
  }
  return found;
}
