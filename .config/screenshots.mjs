// Puts the pictures of the README and the walkthrough into client/media, out of what the editor tests saw. Needs Debian's
// `imagemagick` and `pngquant`. The pictures are part of the package: cut out so that they can be read where they are shown, in
// 20 colours, enough for text, as lossless WebP.
import { execFileSync } from 'node:child_process';

/** Name of the picture: the screenshot, and the part of it. */
const parts = {
  problems: ['problems', '1180x686+0+34'],
  new: ['new-kind', '602x242+290+6'],
  findings: ['problems', '800x204+0+492'],
  explain: ['page', '880x220+30+76'],
  fix: ['fix', '750x166+400+240'],
  heat: ['heat', '782x274+383+133'],
};
for (const [name, [shot, part]] of Object.entries(parts)) {
  const cut = `dist/screenshots/${name}-cut.png`;
  execFileSync('convert', [`dist/screenshots/${shot}.png`, '-crop', part, '+repage', cut]);
  execFileSync('pngquant', ['--force', '--strip', '--nofs', '--output', cut, '20', cut]);
  const lossless = ['-define', 'webp:lossless=true', '-define', 'webp:method=6', '-quality', '100'];
  execFileSync('convert', [cut, ...lossless, `client/media/${name}.webp`]);
}
