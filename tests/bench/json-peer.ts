/** The peer of a key that breaks its line: a general JSON language service on the same plan, an entry a line as in the plan. */
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import path from 'node:path';
import { TextDocument } from 'vscode-languageserver-textdocument';
import { parseDocument } from 'yaml';

/** What is used of the service, which is installed on demand. */
interface Service {
  configure(settings: {
    readonly schemas: readonly { uri: string; fileMatch: readonly string[]; schema: unknown }[];
  }): void;
  parseJSONDocument(document: TextDocument): unknown;
  doValidation(document: TextDocument, parsed: unknown): Promise<readonly unknown[]>;
}

function inJson(plan: string): string {
  const sections = Object.entries(parseDocument(plan).toJS() as Record<string, unknown>);
  const written = sections.map(([key, value]) => {
    const lines = Array.isArray(value) ? value.map((one) => JSON.stringify(one)).join(',\n') : undefined;
    return `${JSON.stringify(key)}: ${lines === undefined ? JSON.stringify(value) : `[\n${lines}\n]`}`;
  });
  return `{\n${written.join(',\n')}\n}\n`;
}

/** Times of reading and validating the text with a bracket missing, and whole again, at several places. */
export async function brokenJson(peer: string, plan: string): Promise<number[]> {
  const require = createRequire(path.resolve(peer, 'index.js'));
  const { getLanguageService } = require(path.resolve(peer, 'node_modules/vscode-json-languageservice')) as {
    getLanguageService(options: object): Service;
  };
  const service = getLanguageService({});
  const schema = JSON.parse(readFileSync('schemas/repair-plan.schema.json', 'utf8')) as unknown;
  service.configure({ schemas: [{ uri: 'file:///plan.schema.json', fileMatch: ['*.json'], schema }] });
  const whole = inJson(plan);
  const brackets = [...whole.matchAll(/"connectors":\[/g)].map(({ index }) => index + '"connectors":'.length);
  let version = 0;
  const check = async (text: string, isBroken: boolean): Promise<number> => {
    const document = TextDocument.create('file:///a.json', 'json', version++, text);
    const start = performance.now();
    const told = await service.doValidation(document, service.parseJSONDocument(document));
    const spent = performance.now() - start;
    if (told.length > 0 !== isBroken)
      throw new Error('the JSON peer does not tell a broken text from a whole one');
    return spent;
  };
  for (let i = 0; i < 5; i++) await check(whole, false);
  const spent: number[] = [];
  for (let round = 0; round < 6; round++) {
    const at = brackets[Math.floor((brackets.length * (round + 1)) / 7)]!;
    spent.push(await check(whole.slice(0, at) + whole.slice(at + 1), true), await check(whole, false));
  }
  return spent;
}
