import type { BaseLanguageClient } from 'vscode-languageclient';
import { State } from 'vscode-languageclient';

/**
 * Keeps from the user what fails only because the server is being stopped or started: requests get their default answer, and
 * notifications that were on their way, such as that of a save, are logged. A server that starts is sent every text anew.
 */
export function quietWhileStopped(client: BaseLanguageClient): void {
  const failed: BaseLanguageClient['handleFailedRequest'] = client.handleFailedRequest.bind(client);
  client.handleFailedRequest = (type, token, error, defaultValue, ...more) =>
    client.isRunning() ? failed(type, token, error, defaultValue, ...more) : defaultValue;

  const log: BaseLanguageClient['error'] = client.error.bind(client);
  client.error = (message, data, show = true) =>
    log(message, data, show === true ? client.state !== State.Stopped : show);
}
