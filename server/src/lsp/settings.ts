import { DidChangeConfigurationNotification } from 'vscode-languageserver';
import type { Capability } from './capability.ts';
import { notificationHandler } from './guard.ts';
import type { Session } from './session.ts';

/** Keeps the settings equal to the client's. */
export const settingsCapability: Capability = {
  announce: () => ({}),
  register(session) {
    const { connection, client, settings, publisher } = session;
    connection.onDidChangeConfiguration(
      notificationHandler(session, 'settings', async (params) => {
        const pushed = (params.settings as { plugward?: unknown } | null | undefined)?.plugward;
        settings.replaceSettings(client.configuration ? await ask(session) : pushed);
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
    settings.replaceSettings(await ask(session));
    publisher.markAll();
  },
};

function ask({ connection }: Session): Promise<unknown> {
  return connection.workspace.getConfiguration('plugward');
}
