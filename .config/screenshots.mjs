// Puts the README's pictures into client/media, out of what the editor test saw. Needs Debian's `imagemagick` and
// `pngquant`. The pictures are part of the package: they show what they are for, in 64 colours, enough for text.
import { execFileSync } from 'node:child_process';

const parts = { problems: '1180x720+0+0', heat: '1180x505+0+95', fix: '1180x365+0+95' };
for (const [name, part] of Object.entries(parts)) {
  const picture = `client/media/${name}.png`;
  execFileSync('convert', [`dist/screenshots/${name}.png`, '-crop', part, '+repage', picture]);
  execFileSync('pngquant', ['--force', '--strip', '--nofs', '--output', picture, '64', picture]);
}
