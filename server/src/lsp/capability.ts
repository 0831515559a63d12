import type { ServerCapabilities } from 'vscode-languageserver';
import type { ClientAbilities } from './client-abilities.ts';
import type { Session } from './session.ts';

/** One server capability: what it announces at `initialize`, and its handlers. */
export interface Capability {
  announce(client: ClientAbilities): ServerCapabilities;
  register(session: Session): void;
  /** What must wait until the client accepts requests. */
  start?(session: Session): Promise<void>;
}
