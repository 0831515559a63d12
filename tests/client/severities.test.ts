import { readFileSync } from 'node:fs';
import Ajv from 'ajv';
import { describe, expect, test } from 'vitest';
import { findingsList, renamedFindings } from '../../server/src/features/explain.ts';
import { languageTags } from '../../server/src/language/language.ts';

interface Level {
  readonly enum: readonly string[];
  readonly description?: string;
  readonly deprecationMessage?: string;
}
interface Severities {
  readonly properties: Readonly<Record<string, Level>>;
  readonly patternProperties: Readonly<Record<string, Level>>;
}

const packed = JSON.parse(readFileSync('dist/package/package.json', 'utf8')) as {
  contributes: { configuration: { properties: { 'plugward.severities': Severities } } };
};
const schema = packed.contributes.configuration.properties['plugward.severities'];

describe('the setting of severities in the packed manifest', () => {
  test('names every finding and nothing else, so that the editor shows a form', () => {
    expect(Object.keys(schema.properties)).toEqual(findingsList({}).map(({ id }) => id));
    expect(Object.keys(schema.properties).length).toBeGreaterThan(100);
    // What the editor shows as a form: text with a choice of values (its own rule for settings that are objects).
    for (const level of Object.values(schema.properties))
      expect(level).toMatchObject({ type: 'string', enum: ['error', 'warning', 'information', 'off'] });
  });

  test('accepts known names and levels, old names too, and rejects others', () => {
    const valid = new Ajv({ strict: false }).compile(schema);
    expect(valid({ 'weak-cover': 'error', 'isolation-low': 'off' })).toBe(true);
    for (const wrong of [{ 'weak-covr': 'error' }, { 'weak-cover': 'fatal' }, { 'weak-cover': true }])
      expect(valid(wrong)).toBe(false);
  });

  test.each(languageTags)('says in %s what each one is, and how an old one is called now', (language) => {
    const file = language === 'en' ? 'package.nls.json' : `package.nls.${language}.json`;
    const words = JSON.parse(readFileSync(`dist/package/${file}`, 'utf8')) as Record<string, string>;
    const said = (text: string | undefined): string | undefined => words[text?.slice(1, -1) ?? ''];
    for (const { id, title } of findingsList({ language }))
      expect(said(schema.properties[id]!.description)).toBe(title);
    const old = renamedFindings({ language });
    expect(Object.keys(schema.patternProperties)).toEqual(old.map(({ id }) => `^${id}$`));
    for (const { id, title } of old)
      expect(said(schema.patternProperties[`^${id}$`]!.deprecationMessage)).toBe(title);
  });
});
