import type { Connection, InitializeParams } from 'vscode-languageserver';
import { abilitiesOf } from './client-abilities.ts';
import { ClosedPlans } from './closed-plans.ts';
import { Context } from './context.ts';
import { DiagnosticsPublisher } from './diagnostics.ts';
import { Files } from './files.ts';
import type { Host } from './host.ts';
import { SettingsStore } from './settings-store.ts';

/** Everything that lives from `initialize` to `exit`; each capability gets this and nothing else. */
export class Session extends Context {
  readonly settings: SettingsStore;
  readonly files: Files;
  readonly publisher: DiagnosticsPublisher;
  readonly closed: ClosedPlans;

  constructor(connection: Connection, host: Host, params: InitializeParams) {
    super(connection, host, abilitiesOf(params), localeOf(params));
    this.settings = new SettingsStore(this, params.initializationOptions);
    this.files = new Files(this, params);
    this.publisher = new DiagnosticsPublisher(this, this.files, this.settings);
    this.closed = new ClosedPlans(this, this.files, this.settings, this.publisher);
  }
}

/** The language and region that the settings ask for, else those of the client. */
function localeOf({ initializationOptions, locale }: InitializeParams): string | undefined {
  const asked = (initializationOptions as { locale?: unknown } | null | undefined)?.locale;
  return typeof asked === 'string' && asked !== '' ? asked : locale;
}
