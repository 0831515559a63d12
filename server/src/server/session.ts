import type { Connection, InitializeParams } from 'vscode-languageserver';
import { Workspace } from '../workspace/workspace.ts';
import { abilitiesOf } from './client-abilities.ts';
import type { ClientAbilities } from './client-abilities.ts';
import { Publisher } from './diagnostics.ts';
import { OpenDocuments } from './documents.ts';
import { Files } from './files.ts';
import type { Host } from './host.ts';
import { SettingsStore } from './settings.ts';

/** Everything that lives from `initialize` to `exit`; each capability gets this and nothing else. */
export class Session {
  readonly connection: Connection;
  readonly host: Host;
  readonly documents = new OpenDocuments();
  readonly client: ClientAbilities;
  readonly workspace = new Workspace();
  readonly settings: SettingsStore;
  readonly files: Files;
  readonly publisher: Publisher;

  constructor(connection: Connection, host: Host, params: InitializeParams) {
    this.connection = connection;
    this.host = host;
    this.client = abilitiesOf(params);
    this.settings = new SettingsStore(this, params.initializationOptions);
    this.files = new Files(this, params);
    this.publisher = new Publisher(this);
  }
}
