import { readFileSync } from 'node:fs';
import path from 'node:path';
import type { Locator, Page } from 'playwright-core';
import type { Workbench } from './workbench.ts';

/** How long something is waited for before it is tried once more. Unit: ms. */
const patience = 5_000;

/** What a person does with a workbench in which the file `open` is open. */
export class Hands {
  readonly page: Page;

  constructor(
    readonly workbench: Workbench,
    readonly open: string,
  ) {
    this.page = workbench.page;
    this.page.setDefaultTimeout(90_000);
  }

  onDisk(name = this.open): string {
    return readFileSync(path.join(this.workbench.folder, name), 'utf8');
  }

  problems(): Locator {
    return this.page.locator('.markers-panel .monaco-list-row');
  }

  async shot(name: string): Promise<void> {
    await this.page.screenshot({ path: path.resolve('dist/screenshots', `${name}.png`) });
  }

  /** Puts the cursor into `word`, behind its first letter, in the first line of the saved file that contains `line`. */
  async goTo(line: string, word: string, behind = 1): Promise<void> {
    const lines = this.onDisk().split('\n');
    const number = lines.findIndex((each) => each.includes(line));
    await this.goToPlace(number + 1, lines[number]!.indexOf(word) + 1 + behind);
  }

  /** Line and column count from one. */
  async goToPlace(line: number, column: number): Promise<void> {
    await this.untilDone(async () => {
      await this.intoText();
      await this.page.keyboard.press('Control+g');
      await this.quickInput(`:${line}:${column}`);
    });
  }

  /**
   * @param choice what to take of the list that the command shows
   * @param next what the command asks after that; without one, it asks nothing more
   */
  async command(title: string, choice?: string, next?: Locator): Promise<void> {
    await this.untilDone(async () => {
      await this.page.keyboard.press('F1');
      await this.choose(`>${title}`);
      if (choice !== undefined) await this.choose(choice);
      if (next) await next.waitFor({ timeout: patience });
      else await this.page.locator('.quick-input-widget').waitFor({ state: 'hidden', timeout: patience });
    });
  }

  /** Takes what it looks for out of the list that is shown. */
  async choose(text: string): Promise<void> {
    await this.page.locator('.quick-input-widget input').fill(text, { timeout: patience });
    const found = this.page.locator('.quick-input-list .focused', { hasText: text.replace(/^>/, '') });
    await found.waitFor({ timeout: patience });
    await this.page.keyboard.press('Enter');
  }

  async quickInput(text: string): Promise<void> {
    await this.page.locator('.quick-input-widget input').fill(text, { timeout: patience });
    await this.page.keyboard.press('Enter');
    await this.page.locator('.quick-input-widget').waitFor({ state: 'hidden', timeout: patience });
  }

  /** @param shown what it leads to: it is pressed until that stands there */
  async press(target: Locator, shown?: Locator): Promise<void> {
    const click = (): Promise<void> => target.click({ timeout: patience });
    if (!shown) return this.untilDone(click);
    await this.until(shown, async () => {
      if (!(await shown.isVisible())) await click();
    });
  }

  /** Waits until the editor tells something. */
  async told(text: string): Promise<void> {
    const notices = this.page.locator('.notification-toast');
    try {
      await notices.filter({ hasText: text }).waitFor();
    } catch (error) {
      console.warn('told instead:', await notices.allInnerTexts());
      await this.shot('failure');
      throw error;
    }
  }

  /** Does `act` until what it shows stays: a menu closes when the editor happens to draw itself anew. */
  async until(shown: Locator, act: () => Promise<void>): Promise<void> {
    await this.untilDone(async () => {
      await act();
      await shown.waitFor({ timeout: patience });
      await this.page.waitForTimeout(500);
      if (!(await shown.isVisible())) throw new Error(`${shown.toString()} does not stay`);
    });
  }

  /** A machine at work swallows keys and lets notices cover what is to be pressed; a person then tries again. */
  private async untilDone(act: () => Promise<void>): Promise<void> {
    for (let tries = 1; ; tries++) {
      try {
        return await act();
      } catch (error) {
        if (tries === 12) {
          await this.shot('failure');
          throw error;
        }
        await this.putNoticesAway();
        await this.page.keyboard.press('Escape');
      }
    }
  }

  private async putNoticesAway(): Promise<void> {
    for (const notice of await this.page.locator('.notification-toast').all()) {
      console.warn('in the way:', await notice.innerText().catch(() => 'a notice that went by itself'));
      await notice.hover({ timeout: 1_000 }).catch(() => undefined);
      await notice
        .locator('.codicon-notifications-clear')
        .click({ timeout: 1_000 })
        .catch(() => undefined);
    }
  }

  private async intoText(): Promise<void> {
    await this.page.locator('.editor-group-container .view-lines').first().click({ timeout: patience });
  }

  async pointAtCursor(): Promise<void> {
    const cursor = (await this.page.locator('.cursors-layer .cursor').first().boundingBox())!;
    await this.page.mouse.move(cursor.x + 60, cursor.y + 100);
    await this.page.mouse.move(cursor.x + 4, cursor.y + cursor.height / 2, { steps: 4 });
  }

  async save(): Promise<void> {
    await this.untilDone(() => this.intoText());
    await this.page.keyboard.press('Control+S');
  }

  /** What stands inside the webview in front. */
  webview() {
    return this.page.frameLocator('iframe.webview.ready').frameLocator('iframe#active-frame');
  }
}
