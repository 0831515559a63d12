import { newPlan } from '../features/new-plan.ts';
import type { Capability } from './capability.ts';
import { keyOf } from './documents.ts';
import { answeringFromAll } from './guard.ts';

/** `plugward/newPlan`: the text of a new plan, for a client that offers to start one. */
export const newPlanCapability: Capability = {
  announce: () => ({}),
  register(session) {
    session.connection.onRequest(
      'plugward/newPlan',
      answeringFromAll(
        session,
        'new plan',
        () => ({ snippet: '' }),
        ({ number, folder }: { number: string; folder: string | null }) => ({
          snippet: newPlan(
            session.workspace,
            number,
            folder === null ? undefined : keyOf(folder),
            session.settings.current,
          ),
        }),
      ),
    );
  },
};
