import { planSummary, toldApart, worstFirst } from '../features/plans.ts';
import type { PlanSummary } from '../features/plans.ts';
import { find } from '../features/check.ts';
import type { Capability } from './capability.ts';
import type { Session } from './session.ts';

interface FolderSummary {
  /** Worst first. */
  readonly plans: readonly PlanSummary[];
  /** Of all files: plans, procedures, lists and sheets. */
  readonly files: number;
  readonly errors: number;
  readonly findings: number;
  /** Files about which nothing is known: by a fault of ours, or because no more are kept. */
  readonly unknown: number;
}

/**
 * `plugward/plans`, a request of our own: `{}` is answered with every plan of the folders, worst first, and with what a check of
 * all their files found.
 */
export const plansCapability: Capability = {
  announce: () => ({}),
  register(session) {
    session.connection.onRequest(
      'plugward/plans',
      async (_params: unknown, token): Promise<FolderSummary> => {
        await session.host.turn();
        await session.files.loadAll();
        return summaryOf(session, () => token.isCancellationRequested);
      },
    );
  },
};

async function summaryOf(session: Session, isCancelled: () => boolean): Promise<FolderSummary> {
  const { workspace, documents, files, host, settings } = session;
  const plans: PlanSummary[] = [];
  let [checked, errors, findings, failed] = [0, 0, 0, 0];
  for (const key of workspace.uris) {
    // Between files, so that keystrokes are handled; a file that changed meanwhile is read again.
    await host.turn();
    if (isCancelled()) break;
    await files.load();
    if (files.failed.has(key)) failed++;
    if (!workspace.document(key)) continue;
    checked++;
    try {
      const found = find(workspace, key, settings.current);
      findings += found.length;
      errors += found.filter(({ severity }) => severity === 'error').length;
      const plan = planSummary(workspace, key, settings.current);
      if (plan) plans.push({ ...plan, uri: documents.clientUri(key) });
    } catch (error) {
      failed++;
      session.report(`summary of ${key}`, error);
    }
  }
  return {
    plans: toldApart(worstFirst(plans)),
    files: checked,
    errors,
    findings,
    unknown: failed + files.unread,
  };
}
