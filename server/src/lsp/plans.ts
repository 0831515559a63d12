import { toldApart, worstFirst } from '../features/plans.ts';
import type { PlanSummary } from '../features/plans.ts';
import type { Capability } from './capability.ts';
import { countedOf } from './counted.ts';
import type { Counted } from './counted.ts';
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
        await session.files.loadShared();
        return summaryOf(session, () => token.isCancellationRequested);
      },
    );
  },
};

async function summaryOf(session: Session, isCancelled: () => boolean): Promise<FolderSummary> {
  const { documents, files, closed, host } = session;
  const plans: PlanSummary[] = [];
  let [checked, errors, findings, failed] = [0, 0, 0, 0];
  const add = (key: string, told: Counted | undefined): void => {
    if (files.failed.has(key)) failed++;
    if (!told) return;
    checked++;
    errors += told.errors;
    findings += told.findings;
    if (told.plan) plans.push({ ...told.plan, uri: documents.clientUri(key) });
    if (told.plan === null) failed++;
  };
  const whole = new Set(session.workspace.uris.filter((key) => !session.workspace.summary(key)));
  for (const key of whole) {
    // Between files, so that keystrokes are handled; a file that changed meanwhile is read again.
    await host.turn();
    if (isCancelled()) break;
    await files.loadShared();
    add(key, countedOf(session, key, session.settings.current));
  }
  for await (const key of closed.keys()) {
    if (isCancelled()) break;
    const told = await closed.counted(key);
    if (told || !whole.has(key)) add(key, told ?? countedOf(session, key, session.settings.current));
    await host.turn();
  }
  return {
    plans: toldApart(worstFirst(plans)),
    files: checked,
    errors,
    findings,
    unknown: failed + closed.unread,
  };
}
