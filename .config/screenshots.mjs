// Puts the README's pictures into client/media, out of what the editor test saw. Needs Debian's `pngquant`.
import { execFileSync } from 'node:child_process';
import { copyFileSync } from 'node:fs';

for (const name of ['problems', 'heat', 'fix']) {
  const picture = `client/media/${name}.png`;
  copyFileSync(`dist/screenshots/${name}.png`, picture);
  // 256 colours are enough for text, and a third of the size: the pictures are part of the package.
  execFileSync('pngquant', ['--force', '--strip', '--output', picture, '256', picture]);
}
