import type { BaseLanguageClient } from 'vscode-languageclient';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { keepAlive } from '../../client/src/keep-alive.ts';

const shown = vi.hoisted(() => ({ warnings: [] as string[], errors: [] as string[] }));
vi.mock('vscode', () => ({
  l10n: { t: (text: string) => text },
  window: {
    showWarningMessage: (text: string) => shown.warnings.push(text),
    showErrorMessage: (text: string) => shown.errors.push(text),
  },
}));
// The library asks for the editor when it is loaded; of it only these two numberings are needed.
const [CloseAction, ErrorAction] = vi.hoisted(() => [
  { DoNotRestart: 1, Restart: 2 },
  { Continue: 1, Shutdown: 2 },
]);
vi.mock('vscode-languageclient', () => ({ CloseAction, ErrorAction }));

/** A client whose server answers as told, or not at all, and whose library lets it be started again as often as told. */
function clientWith(answer: () => Promise<unknown>, restarts = 4) {
  const done: string[] = [];
  const client = {
    createDefaultErrorHandler: () => ({
      closed: () => ({
        action: restarts-- > 0 ? CloseAction.Restart : CloseAction.DoNotRestart,
      }),
    }),
    sendRequest: answer,
    isRunning: () => true,
    stop: () => Promise.resolve(void done.push('stop')),
    start: () => Promise.resolve(void done.push('start')),
  };
  return { done, handler: keepAlive(() => client as unknown as BaseLanguageClient) };
}

const silence = (): Promise<unknown> => new Promise(() => undefined);
const failedWrite = [new Error('write EPIPE'), undefined, 1] as const;

beforeEach(() => {
  vi.useFakeTimers();
  shown.warnings.length = 0;
  shown.errors.length = 0;
});
afterEach(() => void vi.useRealTimers());

describe('a server to which a write failed', () => {
  test('and that does not respond is restarted, with one message', async () => {
    const { done, handler } = clientWith(silence);
    for (let i = 0; i < 2; i++) {
      expect(await handler.error(...failedWrite)).toEqual({ action: ErrorAction.Continue, handled: true });
      void handler.error(...failedWrite);
      await vi.advanceTimersByTimeAsync(10_000);
    }
    expect(done).toEqual(['stop', 'start', 'stop', 'start']);
    expect(shown.warnings).toHaveLength(1);
    expect(shown.errors).toEqual([]);
  });

  test('and that responds is left running', async () => {
    const { done, handler } = clientWith(() => Promise.resolve([]));
    void handler.error(...failedWrite);
    await vi.advanceTimersByTimeAsync(10_000);
    expect(done).toEqual([]);
    expect(shown.warnings).toEqual([]);
  });

  test('and that cannot be reached is restarted', async () => {
    const { done, handler } = clientWith(() => Promise.reject(new Error('the stream is gone')));
    void handler.error(...failedWrite);
    await vi.advanceTimersByTimeAsync(10_000);
    expect(done).toEqual(['stop', 'start']);
  });

  test('and whose close event arrives meanwhile is restarted by the library alone', async () => {
    const { done, handler } = clientWith(silence);
    void handler.error(...failedWrite);
    expect(await handler.closed()).toMatchObject({ action: CloseAction.Restart, handled: true });
    await vi.advanceTimersByTimeAsync(10_000);
    expect(done).toEqual([]);
    expect(shown.warnings).toHaveLength(1);
  });

  test('and that exited too often is not restarted, which is reported', async () => {
    const { done, handler } = clientWith(silence, 0);
    void handler.error(...failedWrite);
    await vi.advanceTimersByTimeAsync(10_000);
    expect(done).toEqual([]);
    expect(shown.errors).toHaveLength(1);
    expect(shown.errors[0]).toContain('will not restart by itself');
  });

  test('an error other than a failed write restarts nothing', async () => {
    const { done, handler } = clientWith(silence);
    void handler.error(new Error('garbage'), undefined, undefined);
    await vi.advanceTimersByTimeAsync(10_000);
    expect(done).toEqual([]);
  });
});
