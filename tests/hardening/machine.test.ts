import { expect, test } from 'vitest';
import { thisMachine, whyNoEditor } from '../editor/obstacle.mts';

const debian = { platform: 'linux', arch: 'x64', glibc: '2.36', browser: undefined };

test.each([
  ['nothing but Node on Linux', debian, undefined],
  ['a browser on the PATH', { ...debian, browser: '/usr/bin/chromium' }, undefined],
  ['another processor', { ...debian, arch: 'arm64' }, 'the packaged browser is for x64, not arm64'],
  ['another processor with a browser', { ...debian, arch: 'arm64', browser: '/usr/bin/chromium' }, undefined],
  ['another C library', { ...debian, glibc: undefined }, 'the packaged browser needs glibc'],
  ['another system', { ...debian, platform: 'win32', browser: 'chrome.exe' }, 'this is win32'],
])('whether the editor tests can run: %s', (_, machine, why) => {
  const said = whyNoEditor(machine);
  if (why === undefined) expect(said).toBeUndefined();
  else expect(said).toContain(why);
});

test('this machine says what it is', () => {
  expect(thisMachine()).toMatchObject({ platform: process.platform, arch: process.arch });
});
