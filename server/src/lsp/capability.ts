import type { ServerCapabilities } from 'vscode-languageserver';
import type { ClientAbilities } from './client-abilities.ts';
import type { Session } from './session.ts';

/** One thing the server offers: what it announces at `initialize`, and the handlers behind it. */
export interface Capability {
  announce(client: ClientAbilities): ServerCapabilities;
  register(session: Session): void;
  /** What has to wait until the client is ready to be asked. */
  start?(session: Session): Promise<void>;
}
