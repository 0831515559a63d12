import { newPlan } from '../features/new-plan.ts';
import type { Capability } from './capability.ts';
import { canonicalUri } from './documents.ts';
import { workspaceRequestHandler } from './guard.ts';

/** `plugward/newPlan`: the text of a new plan, for a client that offers to start one. */
export const newPlanCapability: Capability = {
  announce: () => ({}),
  register(session) {
    session.connection.onRequest(
      'plugward/newPlan',
      workspaceRequestHandler(
        session,
        'new plan',
        () => ({ snippet: '' }),
        ({ number, folder }: { number: string; folder: string | null }) => ({
          snippet: newPlan(
            session.workspace,
            number,
            folder === null ? undefined : canonicalUri(folder),
            session.settings.current,
          ),
        }),
      ),
    );
  },
};
