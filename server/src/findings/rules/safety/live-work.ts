import { say } from '../../../language/phrase.ts';
import type { FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';
import { tellLiveWork } from '../../support/tell-live-work.ts';

export const liveWork: FindingRule = {
  id: 'live-work',
  title: say`Hands on high voltage without proof that it is dead`,
  severity: 'error',
  page: () => ({
    means: say`A step covers, uncovers, cleans, closes, locks, measures or, while it is open, inspects or tugs a high-voltage power or interlock connector, takes off or refits a part and names such a connector, or moves the traction battery; and shutting down or isolating, locking out, waiting and proving dead are not all certain to come first, in that order, with nothing in between that may make the system live again.`,
    why: say`A contact kills a person who cleans or measures it as surely as one who opens it. An isolation, a lock or a proof from before the lock-out came off, the vehicle was charged, powered, moved or away at another firm proves nothing.`,
    whatToDo: say`Shut down, isolate, lock out, wait and prove dead again before the first step on these connectors, as the vehicle maker specifies.`,
    source: say`By analogy 29 CFR 1910.147(d)(2)–(6) (shut down, isolate, lock, relieve stored energy, verify); EN 50110-1; HSE, Electric and hybrid vehicles (isolate and prove dead before any work).`,
    example: {
      wrong: `operations:
  - { id: op50, do: clean, connectors: [inverter-dc] }
`,
      right: `operations:
  - { id: op10, do: isolate }
  - { id: op12, do: lock-out }
  - { id: op14, do: wait, time: 5 min }
  - { id: op16, do: prove-dead, meter-proven: before-and-after }
  - { id: op50, do: clean, connectors: [inverter-dc] }
`,
    },
  }),
  kinds: plansOnly,
  ground: 'safety',
  needsEveryStep: true,
  *check(subject) {
    yield* tellLiveWork(subject, 'live-work');
  },
};
