import { mkdirSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import type { FrameLocator } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Hands } from './hands.ts';
import { startWorkbench } from './workbench.ts';
import type { Workbench } from './workbench.ts';

const plan = 'quarter-panel-faulty.repair-plan.yaml';

/** The workbench's default themes. */
const themes = {
  'Default Dark Modern': 'vscode-dark',
  'Default Light Modern': 'vscode-light',
  'Default High Contrast': 'vscode-high-contrast',
  'Default High Contrast Light': 'vscode-high-contrast-light',
};

interface Measured {
  readonly ratio: number;
  readonly what: string;
}

/**
 * Contrast as the Web Content Accessibility Guidelines 2.1 define it (relative luminance, contrast ratio): of every text with what
 * lies under it, and of every line and mark of a picture with the paper. What happens in the page is written as text: the
 * types of a browser are no part of this project.
 */
const measure = (preview: FrameLocator): Promise<{ texts: Measured[]; marks: Measured[] }> =>
  preview.locator('body').evaluate(`(() => {
    const body = document.body;
    const dot = document.createElement('canvas').getContext('2d', { willReadFrequently: true });
    const rgba = (colour) => {
      dot.clearRect(0, 0, 1, 1);
      dot.fillStyle = '#000';
      dot.fillStyle = colour;
      dot.fillRect(0, 0, 1, 1);
      const [r, g, b, a] = dot.getImageData(0, 0, 1, 1).data;
      return [r, g, b, a / 255];
    };
    const over = ([r, g, b, a], under) => [r, g, b].map((part, i) => part * a + under[i] * (1 - a));
    const part = (value) => (value / 255 <= 0.04045 ? value / 255 / 12.92 : ((value / 255 + 0.055) / 1.055) ** 2.4);
    const luminance = ([r, g, b]) => 0.2126 * part(r) + 0.7152 * part(g) + 0.0722 * part(b);
    const ratio = (a, b) => {
      const [high, low] = [luminance(a), luminance(b)].sort((x, y) => y - x);
      return (high + 0.05) / (low + 0.05);
    };
    const solidity = (one) => {
      let all = 1;
      for (let at = one; at; at = at.parentElement) all *= Number(getComputedStyle(at).opacity);
      return all;
    };
    const faded = ([r, g, b, a], times) => [r, g, b, a * times];
    const paper = rgba(getComputedStyle(body).backgroundColor);
    const shapes = 'rect,circle,path,polygon,ellipse';
    const paintOf = (one) => {
      const style = getComputedStyle(one);
      if (!(one instanceof SVGElement)) return rgba(style.backgroundColor);
      if (!one.matches(shapes) || style.fill === 'none' || style.fill.startsWith('url')) return [0, 0, 0, 0];
      return faded(rgba(style.fill), Number(style.fillOpacity) * solidity(one));
    };
    /* A shape is hit by its outline too, which is not what fills it. */
    const covers = (one, x, y) =>
      !(one instanceof SVGGeometryElement) || one.isPointInFill(new DOMPoint(x, y).matrixTransform(one.getScreenCTM().inverse()));
    /* What is painted under a point, from the paper up to the text's own element. */
    const under = (x, y, owner) => {
      const stack = document.elementsFromPoint(x, y).reverse();
      let colour = paper.slice(0, 3);
      for (const one of stack) if (one !== owner && covers(one, x, y)) colour = over(paintOf(one), colour);
      return owner instanceof SVGElement ? colour : over(paintOf(owner), colour);
    };
    const texts = [];
    const walker = document.createTreeWalker(body, NodeFilter.SHOW_TEXT);
    for (let node = walker.nextNode(); node; node = walker.nextNode()) {
      const owner = node.parentElement;
      if (!node.textContent.trim() || owner.getClientRects().length === 0) continue;
      if (owner.closest('style,script,title,desc')) continue;
      owner.scrollIntoView({ block: 'center' });
      const points = [0.05, 0.5, 0.95].map((along) => {
        if (owner instanceof SVGTextContentElement) {
          const { x, y, width, height } = owner.getExtentOfChar(Math.floor(along * owner.getNumberOfChars()));
          return new DOMPoint(x + width / 2, y + height / 2).matrixTransform(owner.getScreenCTM());
        }
        const range = document.createRange();
        range.selectNodeContents(node);
        const box = range.getClientRects()[0] || owner.getBoundingClientRect();
        return { x: box.left + box.width * along, y: box.top + box.height / 2 };
      });
      const style = getComputedStyle(owner);
      const ink = faded(rgba(owner instanceof SVGElement ? style.fill : style.color), solidity(owner));
      for (const { x, y } of points) {
        const ground = under(x, y, owner);
        texts.push({ ratio: ratio(over(ink, ground), ground), what: node.textContent.trim().slice(0, 40) });
      }
    }
    const marks = [];
    for (const one of body.querySelectorAll('svg :is(line,polyline,' + shapes + ')')) {
      if (one.getClientRects().length === 0 || one.closest('defs,clipPath,pattern')) continue;
      const style = getComputedStyle(one);
      const stroked = style.stroke !== 'none' && parseFloat(style.strokeWidth) > 0;
      const stroke = stroked ? ratio(over(faded(rgba(style.stroke), Number(style.strokeOpacity) * solidity(one)), paper), paper) : 0;
      const fill = ratio(over(paintOf(one), paper), paper);
      marks.push({
        ratio: Math.max(stroke, fill),
        what: [one.tagName, one.getAttribute('class'), one.parentElement.getAttribute('class'), style.stroke, style.fill].join(' '),
      });
    }
    return { texts, marks };
  })()`);

describe('the preview in the default themes of the workbench', () => {
  let workbench: Workbench;
  let hands: Hands;
  let preview: FrameLocator;

  beforeAll(async () => {
    mkdirSync('dist/screenshots', { recursive: true });
    workbench = await startWorkbench(plan, 'dist/plugward.vsix');
    hands = new Hands(workbench, plan);
    preview = hands.webview();
    await hands.page.locator('.statusbar-item', { hasText: '8 findings' }).waitFor();
    await hands.command('Plugward: Open preview to the side');
    await preview.locator('h1', { hasText: 'HL-0148' }).waitFor();
    mkdirSync(path.join(workbench.folder, '.vscode'));
  });
  afterAll(() => workbench?.stop());

  it.each(Object.entries(themes))('%s: every text stands out from what is under it', async (theme, kind) => {
    writeFileSync(
      path.join(workbench.folder, '.vscode/settings.json'),
      JSON.stringify({ 'workbench.colorTheme': theme }),
    );
    await preview.locator(`body[data-vscode-theme-kind="${kind}"]`).waitFor();
    await hands.page.waitForTimeout(500);
    const { texts, marks } = await measure(preview);
    await preview.locator('.plugward-heat').filter({ visible: true }).first().scrollIntoViewIfNeeded();
    await hands.shot(`preview-${kind}`);
    expect(texts.length).toBeGreaterThan(500);
    expect(marks.length).toBeGreaterThan(100);
    const weak = (all: readonly Measured[], least: number): string[] => [
      ...new Set(
        all.filter(({ ratio }) => ratio < least).map(({ ratio, what }) => `${ratio.toFixed(2)} ${what}`),
      ),
    ];
    // Success criterion 1.4.3, level AA.
    expect(weak(texts, 4.5)).toEqual([]);
    // Success criterion 1.4.11: 3 for what is needed to understand the picture. Grids and tints only lie behind it.
    const behind = /^\w+ (grid|faint|band|rest|paper|peak-time|strip) /;
    expect(weak(marks, 3).filter((one) => !behind.test(one.slice(5)))).toEqual([]);
  });
});
