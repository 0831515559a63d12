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
  /** URI of a folder in which what is found may be kept for the next start. */
  readonly cacheFolder: string | undefined;

  constructor(connection: Connection, host: Host, params: InitializeParams) {
    super(connection, host, abilitiesOf(params), localeOf(params));
    this.settings = new SettingsStore(this, params.initializationOptions);
    this.files = new Files(this, params);
    this.publisher = new DiagnosticsPublisher(this, this.files, this.settings);
    this.cacheFolder = textOption(params, 'cacheFolder');
    this.closed = new ClosedPlans(this, this.files, this.settings, this.publisher, this.cacheFolder);
  }
}

/** The language and region that the settings ask for, else those of the client. */
const localeOf = (params: InitializeParams): string | undefined =>
  textOption(params, 'locale') ?? params.locale;

function textOption(params: InitializeParams, name: 'locale' | 'cacheFolder'): string | undefined {
  const options = params.initializationOptions as Partial<Record<typeof name, unknown>> | null | undefined;
  const given = options?.[name];
  return typeof given === 'string' && given !== '' ? given : undefined;
}
