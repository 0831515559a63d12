import { languageOf } from '../language/language.ts';
import { inLanguage } from '../language/phrase.ts';
import type { Value } from '../language/phrase.ts';
import type { Settings } from './check.ts';

/** Something said, in the language of the settings. */
export const localize = (value: Value, { language }: Settings): string =>
  inLanguage(value, languageOf(language));
