import { explain, findingsList } from '../features/explain.ts';
import type { FindingTitle } from '../features/explain.ts';
import type { Capability } from './capability.ts';
import { requestHandler } from './guard.ts';

/**
 * Two requests of our own, for a client that shows pages itself: `plugward/findings`, `{}`, is answered with all
 * findings, each as `{ id, title }`; `plugward/explain`, `{ finding }`, with its page as `{ markdown }`, or `null` where there is
 * no such finding.
 */
export const explainCapability: Capability = {
  announce: () => ({}),
  register(session) {
    const { connection, settings } = session;
    connection.onRequest(
      'plugward/findings',
      requestHandler(
        session,
        'findings',
        (): FindingTitle[] => [],
        () => findingsList(settings.current),
      ),
    );
    connection.onRequest(
      'plugward/explain',
      requestHandler(
        session,
        'page',
        () => null,
        ({ finding }: { finding: string }): { markdown: string } | null => {
          const markdown = explain(finding, settings.current);
          return markdown === undefined ? null : { markdown };
        },
      ),
    );
  },
};
