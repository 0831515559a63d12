import { expect, test } from 'vitest';
import { serverOptions } from '../../client/src/server-options.ts';

test('settings reach the server, but do not affect how it is launched', () => {
  const severities = { 'weak-cover': 'error' };
  const settings = {
    severities,
    core: 'https://elsewhere.invalid/core.js',
    readsFiles: false,
    cacheFolder: '/theirs',
  };
  expect(serverOptions(settings, {})).toEqual({
    severities,
    readsFiles: true,
    showsPlaces: true,
    pullsDiagnostics: true,
    hearsChanges: true,
    opensCompletions: true,
    opensHeat: true,
  });
  expect(serverOptions(settings, { cacheFolder: 'file:///own' })).toMatchObject({
    cacheFolder: 'file:///own',
  });
  expect(serverOptions(settings, { core: 'https://editor.invalid/dist/core.js' })).toMatchObject({
    core: 'https://editor.invalid/dist/core.js',
  });
});
