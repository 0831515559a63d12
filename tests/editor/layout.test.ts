import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { previewScript } from '../../client/src/preview-script.ts';
import { caution } from '../../server/src/features/caution.ts';
import { check } from '../../server/src/features/check.ts';
import { preview } from '../../server/src/features/preview.ts';
import { estimate } from '../../server/src/report/print/estimate.ts';
import { jobCard } from '../../server/src/report/print/job-card.ts';
import { review } from '../../server/src/report/print/review.ts';
import { sampleUri, sampleWorkspace } from '../support/files.ts';
import { openBrowser } from './browser.ts';

// What happens in the page is written as text: the types of a browser are no part of this project.

const today = '2026-10-06';
const workspace = sampleWorkspace();
const names = ['quarter-panel', 'quarter-panel-faulty', 'hybrid-door'];
const languages = ['en', 'es'];
const uriOf = (name: string): string => sampleUri(`${name}.repair-plan.yaml`);

function prints(name: string, language: string): Record<string, string> {
  const uri = uriOf(name);
  const plan = workspace.plan(uri)!;
  const findings = check(workspace, uri, { today, language });
  const errors = findings.filter(({ severity }) => severity === 'error').length;
  const options = { today, caution, language, errors };
  return {
    'job card': jobCard(plan, options),
    estimate: estimate(plan, options),
    review: review({ plan, findings }, { ...options, sources: workspace, name: (file) => file }),
  };
}

const every = names.flatMap((name) =>
  languages.flatMap((language) =>
    Object.entries(prints(name, language)).map(([kind, text]) => ({
      title: `${kind} of ${name}, ${language}`,
      kind,
      text,
    })),
  ),
);

/** What the margins of the house style leave of a paper. Unit: CSS pixels. */
const papers = { A4: { width: 703, height: 987 }, Letter: { width: 725, height: 950 } };

let browser: Browser;
let page: Page;

beforeAll(async () => {
  browser = await openBrowser();
  page = await browser.newPage();
});
afterAll(() => browser?.close());

/** Points of the smallest letters that are shown, as scaled in a picture, and the text that has them. */
const smallest = (): Promise<{ points: number; text: string }> =>
  page.evaluate(`(() => {
    let least = { points: Infinity, text: '' };
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    for (let node = walker.nextNode(); node; node = walker.nextNode()) {
      const parent = node.parentElement;
      if (!node.textContent.trim() || parent.getClientRects().length === 0) continue;
      if (parent.closest('style,script,title,desc')) continue;
      const svg = parent.closest('svg');
      const scale = svg ? svg.getBoundingClientRect().width / svg.viewBox.baseVal.width : 1;
      const points = parseFloat(getComputedStyle(parent).fontSize) * scale * 0.75;
      if (points < least.points) least = { points, text: node.textContent };
    }
    return least;
  })()`);

/** The words that a line end parts. */
const brokenWords = (): Promise<string[]> =>
  page.evaluate(`(() => {
    const broken = [];
    const walker = document.createTreeWalker(document.querySelector('main'), NodeFilter.SHOW_TEXT);
    for (let node = walker.nextNode(); node; node = walker.nextNode()) {
      if (node.parentElement.closest('svg,style')) continue;
      for (const { 0: word, index } of node.textContent.matchAll(/[\\p{L}\\p{N}]{3,}/gu)) {
        const range = document.createRange();
        range.setStart(node, index);
        range.setEnd(node, index + word.length);
        const lines = new Set([...range.getClientRects()].map(({ top }) => Math.round(top)));
        if (lines.size > 1) broken.push(word);
      }
    }
    return broken;
  })()`);

/** What stands out at a side of the window. */
const outside = (): Promise<string[]> =>
  page.evaluate(`[...document.querySelectorAll('body *')]
    .filter((one) => one.getClientRects().length > 0 && one.children.length === 0)
    .filter((one) => !one.closest('svg svg,style') && !one.matches('path'))
    .filter((one) => {
      const { left, right } = one.getBoundingClientRect();
      return left < -0.5 || right > document.documentElement.clientWidth + 0.5;
    })
    .map((one) => one.tagName + ' ' + one.textContent)`);

/** Words of a time line that stand on others of the same line. */
const colliding = (): Promise<string[]> =>
  page.evaluate(`(() => {
    const found = [];
    const words = [...document.querySelectorAll('.plugward-timeline text')]
      .filter((one) => one.getClientRects().length > 0 && one.textContent.trim())
      .map((one) => ({ box: one.getBoundingClientRect(), text: one.textContent }));
    for (const [i, { box, text }] of words.entries())
      for (const other of words.slice(i + 1)) {
        const across = Math.min(box.right, other.box.right) - Math.max(box.left, other.box.left);
        const down = Math.min(box.bottom, other.box.bottom) - Math.max(box.top, other.box.top);
        if (across > 1 && down > box.height / 2) found.push(text + ' | ' + other.text);
      }
    return found;
  })()`);

describe('on paper', () => {
  it.each(every)('the $title has no letters under 7 pt and breaks no word', async ({ text }) => {
    await page.emulateMedia({ media: 'print' });
    for (const size of Object.values(papers)) {
      await page.setViewportSize(size);
      await page.setContent(text);
      const { points, text: small } = await smallest();
      expect(points, small).toBeGreaterThan(6.95);
      expect(await brokenWords()).toEqual([]);
      expect(await outside()).toEqual([]);
    }
  });

  it('the heat of two connectors takes one page', async () => {
    await page.emulateMedia({ media: 'print' });
    await page.setViewportSize(papers.Letter);
    const reviews = every.filter(({ title }) => title.startsWith('review of quarter'));
    expect(reviews).toHaveLength(4);
    for (const { text, title } of reviews) {
      await page.setContent(text);
      const height = await page.evaluate<number>(
        `document.querySelector('article.heat').closest('section').getBoundingClientRect().height`,
      );
      expect(height, title).toBeLessThan(papers.Letter.height);
    }
  });
});

describe('on a telephone', () => {
  it.each(every.filter(({ kind }) => kind !== 'estimate'))('the $title fits 390 px', async ({ text }) => {
    await page.emulateMedia({ media: 'screen' });
    await page.setViewportSize({ width: 390, height: 800 });
    await page.setContent(text);
    expect(await outside()).toEqual([]);
    expect(await colliding()).toEqual([]);
  });
});

describe('the preview', () => {
  /** As the panel shows it, in the colours of a light theme. */
  async function open(name: string, language: string, width: number): Promise<void> {
    await page.emulateMedia({ media: 'screen' });
    await page.setViewportSize({ width, height: 700 });
    await page.setContent(
      `<html style="--vscode-editor-foreground:#3b3b3b;--vscode-editor-background:#fff;--vscode-font-size:13px;--vscode-font-family:sans-serif"><body><div id="preview"></div></body></html>`,
    );
    await page.evaluate(`
      var messages = [];
      var acquireVsCodeApi = () => ({ postMessage: (one) => messages.push(one) });
      { ${previewScript} }
    `);
    await draw(name, language);
  }
  const draw = (name: string, language: string): Promise<void> => {
    const html = preview(workspace, uriOf(name), { today, language });
    const data = JSON.stringify({ kind: 'draw', html });
    return page.evaluate(`void window.dispatchEvent(new MessageEvent('message', { data: ${data} }))`);
  };

  it.each([320, 390, 719, 721, 1100])('needs no sideways scrolling at %i px', async (width) => {
    for (const name of names) {
      for (const language of languages) {
        await open(name, language, width);
        expect(await page.evaluate(`document.querySelectorAll('svg text').length`)).toBeGreaterThan(10);
        expect(await outside()).toEqual([]);
        expect(await colliding()).toEqual([]);
      }
    }
  });

  it('is one stop of the Tab key, with arrow keys from part to part, all named', async () => {
    await open('quarter-panel', 'en', 500);
    const stops = (): Promise<number> => page.evaluate(`document.querySelectorAll('[tabindex="0"]').length`);
    const focused = (): Promise<string> =>
      page.evaluate(
        `document.activeElement.getAttribute('aria-label') || document.activeElement.textContent`,
      );
    expect(await stops()).toBe(1);
    await page.keyboard.press('Tab');
    const first = await focused();
    await page.keyboard.press('ArrowDown');
    expect(await focused()).not.toBe(first);
    expect(await stops()).toBe(1);
    await page.keyboard.press('End');
    const last = await focused();
    expect(last).toBe('op300: Hand over to customer');
    // Enter leads to the text; a redraw keeps the focus where it was and alerts nobody.
    await page.keyboard.press('Enter');
    expect(await page.evaluate(`messages.at(-1).kind`)).toBe('reveal');
    await draw('quarter-panel', 'en');
    expect(await focused()).toBe(last);
    expect(await page.locator('[role=alert], [aria-live=assertive]').count()).toBe(0);
    const nameless = await page.evaluate(
      `[...document.querySelectorAll('[data-from]')].filter(
        (one) => !one.getAttribute('aria-label') && !one.querySelector('title')?.textContent).length`,
    );
    expect(nameless).toBe(0);
  });
});
