import type { BaseLanguageClient } from 'vscode-languageclient';
import { describe, expect, test, vi } from 'vitest';
import { quietWhileStopped } from '../../client/src/while-stopped.ts';

// The library asks for the editor when it is loaded; of it only this numbering is needed.
const State = vi.hoisted(() => ({ Stopped: 1, Running: 2, Starting: 3, StartFailed: 4 }));
vi.mock('vscode-languageclient', () => ({ State }));

/** A client in a state, and the errors that it shows and logs. */
function clientIn(state: number) {
  const [shown, logged]: [string[], string[]] = [[], []];
  const client = {
    state,
    isRunning: () => client.state === State.Running,
    error(message: string, _data?: unknown, show: boolean | 'force' = true) {
      (show ? shown : logged).push(message);
    },
    handleFailedRequest(type: { method: string }) {
      this.error(`Request ${type.method} failed.`);
      throw new Error(type.method);
    },
  };
  quietWhileStopped(client as unknown as BaseLanguageClient);
  const ask = (): unknown =>
    (client.handleFailedRequest as (...asked: unknown[]) => unknown)(
      { method: 'textDocument/hover' },
      undefined,
      new Error(),
      'nothing',
    );
  return { client, shown, logged, ask };
}

describe('an error', () => {
  const didSave = 'Sending document notification textDocument/didSave failed.';

  test('of a notification that a stop overtook is logged, and not shown', () => {
    const { client, shown, logged } = clientIn(State.Stopped);
    client.error(didSave, new Error('Starting server failed'));
    expect({ shown, logged }).toEqual({ shown: [], logged: [didSave] });
  });

  test.each([
    ['of a notification to a server that runs', State.Running, true],
    ['of a server that does not start', State.Starting, true],
    ['that must be shown', State.Stopped, 'force'],
  ] as const)('%s is shown', (_what, state, show) => {
    const { client, shown } = clientIn(state);
    client.error(didSave, undefined, show);
    expect(shown).toEqual([didSave]);
  });

  test('that is only logged stays so', () => {
    const { client, shown, logged } = clientIn(State.Running);
    client.error(didSave, undefined, false);
    expect({ shown, logged }).toEqual({ shown: [], logged: [didSave] });
  });

  test('of a request gives its default answer where no server runs, and is thrown where one does', () => {
    for (const state of [State.Stopped, State.Starting]) {
      const { shown, ask } = clientIn(state);
      expect(ask()).toBe('nothing');
      expect(shown).toEqual([]);
    }
    expect(clientIn(State.Running).ask).toThrow('textDocument/hover');
  });
});
