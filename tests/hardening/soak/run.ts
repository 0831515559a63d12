// `npm run soak -- --minutes 60 --plans 300 --seed 1`: a day at the editor in the time it is given; with `--blind`, at one that
// tells nothing of the disk but what it saves. Prints its figures,
// and exits with 1 when the memory grew by more than a tenth or a fresh server says something else.
import { parseArgs } from 'node:util';
import { growth, soak } from './soak.ts';

const { values } = parseArgs({
  options: {
    minutes: { type: 'string', default: '2' },
    plans: { type: 'string', default: '60' },
    seed: { type: 'string', default: '20270210' },
    blind: { type: 'boolean', default: false },
  },
});
const length = Number(values.minutes) * 60_000;
const began = Date.now();
const result = await soak({
  seed: Number(values.seed),
  plans: Number(values.plans),
  watches: !values.blind,
  progress: () => (Date.now() - began) / length,
  looks: 60,
  tell: (line) => console.error(line),
});
const { lives, different, ...rest } = result;
const grown = growth(lives);
console.log(
  JSON.stringify({
    ...rest,
    minutes: Number(values.minutes),
    plans: Number(values.plans),
    grown,
    different: different.length,
  }),
);
for (const one of different.slice(0, 20)) console.log(one);
process.exitCode =
  different.length > 0 || rest.errors.length > 0 || grown.some(({ heap }) => heap > 1.1) ? 1 : 0;
