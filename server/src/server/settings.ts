import { DidChangeConfigurationNotification } from 'vscode-languageserver';
import type { Settings } from '../features/check.ts';
import { findingIds } from '../findings/registry.ts';
import type { Capability } from './capability.ts';
import { guarded } from './guard.ts';
import type { Session } from './session.ts';

const levels = ['error', 'warning', 'information', 'off'] as const;
type Level = (typeof levels)[number];

/** The client's `plugward` section, as far as it makes sense. */
export class SettingsStore {
  readonly #session: Session;
  #severities: Record<string, Level> = {};

  constructor(session: Session, initial: unknown) {
    this.#session = session;
    this.take(initial);
  }

  get current(): Settings {
    return { today: this.#session.host.today(), severities: this.#severities };
  }

  take(section: unknown): void {
    const { severities, ignored } = readSeverities(section);
    this.#severities = severities;
    if (ignored.length === 0) return;
    this.#session.connection.console.warn(`Settings that name no finding or no level: ${ignored.join(', ')}`);
  }
}

function readSeverities(section: unknown): { severities: Record<string, Level>; ignored: string[] } {
  const severities: Record<string, Level> = {};
  const ignored: string[] = [];
  const given = (section as { severities?: unknown } | null | undefined)?.severities;
  for (const [finding, level] of Object.entries(given ?? {})) {
    const known = levels.find((each) => each === level);
    if (known && (findingIds as readonly string[]).includes(finding)) severities[finding] = known;
    else ignored.push(`${finding}: ${String(level)}`);
  }
  return { severities, ignored };
}

export const settingsCapability: Capability = {
  announce: () => ({}),
  register(session) {
    const { connection, client, settings, publisher } = session;
    connection.onDidChangeConfiguration(
      guarded(session, 'settings', async (params) => {
        const pushed = (params.settings as { plugward?: unknown } | null | undefined)?.plugward;
        settings.take(client.configuration ? await fetch(session) : pushed);
        publisher.markAll();
      }),
    );
  },
  async start(session) {
    const { connection, client, settings, publisher } = session;
    if (client.announcesConfigurationChanges) {
      await connection.client.register(DidChangeConfigurationNotification.type, { section: 'plugward' });
    }
    if (!client.configuration) return;
    settings.take(await fetch(session));
    publisher.markAll();
  },
};

function fetch({ connection }: Session): Promise<unknown> {
  return connection.workspace.getConfiguration('plugward');
}
