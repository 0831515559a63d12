import { symlinkSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, expect, test } from 'vitest';
import { EnteredFolders } from '../../server/src/disk/listing.ts';
import { folderWith, removeFolders } from '../cli/run.ts';
import { lacks } from '../support/programs.ts';

afterAll(removeFolders);

test.skipIf(lacks('links'))('a folder is entered once, under whatever path it is met', async () => {
  const root = folderWith({ 'a/x': '', 'b/x': '' });
  symlinkSync('../a', join(root, 'b/again'));
  const entered = new EnteredFolders();
  const met = [];
  for (const folder of ['a', 'b', 'a', 'b/again', 'nowhere', 'nowhere']) {
    met.push(await entered.enter(join(root, folder)));
  }
  expect(met).toEqual([true, true, false, false, true, false]);
});
