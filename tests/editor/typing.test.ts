import { mkdirSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { parseDocument } from 'yaml';
import { Hands } from './hands.ts';
import { startWorkbench } from './workbench.ts';
import type { Workbench } from './workbench.ts';

const plan = 'hybrid-door.repair-plan.yaml';

interface Typed {
  readonly name: string;
  /** Beside the plan's head, with ▮ where the cursor is. */
  readonly text: string;
  /** Keys by their names, other text as it is typed. */
  readonly keys: readonly string[];
  readonly gives: string;
}

const cases: readonly Typed[] = [
  {
    name: 'Enter between two keys in braces',
    text: 'operations:\n  - { id: op10, ▮do: scan }\n',
    keys: ['Enter'],
    gives: 'operations:\n  - { id: op10, \n    do: scan }\n',
  },
  {
    name: 'Enter behind the brace',
    text: 'operations:\n  - {▮id: op10, do: scan }\n',
    keys: ['Enter'],
    gives: 'operations:\n  - {\n    id: op10, do: scan }\n',
  },
  {
    name: 'Enter before the closing brace, and behind it',
    text: 'operations:\n  - { id: op10, do: scan▮}\n',
    keys: ['Enter', 'End', 'Enter', '- { id: op20, do: scan'],
    gives: 'operations:\n  - { id: op10, do: scan\n    }\n  - { id: op20, do: scan}\n',
  },
  {
    name: 'a step in braces, a line for each key',
    text: 'operations:\n  - ▮\n',
    keys: ['{', 'Enter', 'id: op10,', 'Enter', 'do: scan'],
    gives: 'operations:\n  - {\n    id: op10,\n    do: scan}\n',
  },
  {
    name: 'a list in brackets inside braces',
    text: 'operations:\n  - { id: op10, do: cover, connectors: [▮] }\n',
    keys: ['Enter', 'lamp,', 'Enter', 'horn'],
    gives: 'operations:\n  - { id: op10, do: cover, connectors: [\n    lamp,\n    horn] }\n',
  },
  {
    name: 'braces behind a key of a block step',
    text: 'operations:\n  - id: op10\n    follow: lock-out\n    with: {▮}\n',
    keys: ['Enter', 'wait: 5 min'],
    gives: 'operations:\n  - id: op10\n    follow: lock-out\n    with: {\n      wait: 5 min}\n',
  },
  {
    name: 'braces behind the first key of a block item',
    text: 'evidence:\n  - for: [▮]\n',
    keys: ['Enter', 'op10'],
    gives: 'evidence:\n  - for: [\n      op10]\n',
  },
  {
    name: 'braces at the left margin',
    text: 'bake-limit: {▮}\n',
    keys: ['Enter', 'time: 5 min'],
    gives: 'bake-limit: {\n  time: 5 min}\n',
  },
  {
    name: 'Enter behind a finished word, and a block step',
    text: 'operations:\n  - id: op10▮\n',
    keys: ['Enter', 'do: scan', 'Enter', 'zone: cabin'],
    gives: 'operations:\n  - id: op10\n    do: scan\n    zone: cabin\n',
  },
  {
    name: 'braces that are text',
    text: 'note: a { b▮\n',
    keys: ['Enter'],
    gives: 'note: a { b\n\n',
  },
  {
    name: 'a dash typed by habit stays the only one',
    text: 'operations: []\nlabo▮\n',
    keys: ['Control+Space', 'Tab', '- {', ' for: op10, hours: 1'],
    gives: 'operations: []\nlabour:\n  - { for: op10, hours: 1}\n',
  },
];

describe('typing in a real workbench', () => {
  let workbench: Workbench;
  let hands: Hands;

  let count = 0;
  /** Opens a new plan with a text, the cursor at its mark, and tells the name of its file. */
  async function begin(name: string, text: string): Promise<string> {
    const head = `# ${name}\nplan: W-1\nvehicle: { description: Wren (invented), propulsion: battery-electric }\n`;
    const [before, after] = `${head}${text}`.split('▮') as [string, string];
    const file = `typed-${++count}.repair-plan.yaml`;
    writeFileSync(path.join(workbench.folder, file), before + after);
    const title = hands.page.locator('.view-line', { hasText: `# ${name}` });
    await hands.until(title, async () => {
      await hands.page.keyboard.press('Control+p');
      await hands.choose(file);
    });
    const lines = before.split('\n');
    await hands.goToPlace(lines.length, lines.at(-1)!.length + 1);
    return file;
  }

  beforeAll(async () => {
    mkdirSync('dist/screenshots', { recursive: true });
    workbench = await startWorkbench(plan, 'dist/plugward.vsix');
    hands = new Hands(workbench, plan);
    await hands.page.locator('.statusbar-item', { hasText: 'Repair Plan' }).waitFor();
  });
  afterAll(() => workbench?.stop());

  it.each(cases)('$name', async ({ name, text, keys, gives }) => {
    const file = await begin(name, text);
    const before = hands.onDisk(file);
    for (const key of keys) {
      if (/^(Enter|End|Tab|Control\+Space)$/.test(key)) await hands.page.keyboard.press(key);
      else await hands.page.keyboard.type(key, { delay: 30 });
      await hands.page.waitForTimeout(key.startsWith('Control') ? 1_000 : 250);
    }
    await hands.page.keyboard.press('Escape');
    await hands.save();
    // While it is written it is empty for a moment.
    await expect.poll(() => ['', before].includes(hands.onDisk(file)), { timeout: 20_000 }).toBe(false);
    const after = hands.onDisk(file);
    expect(after.split('\n').slice(3).join('\n')).toBe(gives);
    const { errors, warnings } = parseDocument(after);
    expect([...errors, ...warnings]).toEqual([]);
  });

  it('`using` without a rate sheet leads to a new one', async () => {
    await begin('using', 'operations:\n  - { id: op10, do: cover, ▮ }\n');
    await hands.page.keyboard.type('using: ', { delay: 30 });
    const offer = hands.page.locator('.suggest-widget.visible .monaco-list-row', { hasText: 'rate-sheet…' });
    await hands.until(offer, async () => {
      if (!(await offer.isVisible())) await hands.page.keyboard.press('Control+Space');
    });
    await hands.shot('using');
    await hands.page.keyboard.press('Tab');
    await hands.page.locator('.quick-input-title', { hasText: 'New file: Rate Sheet' }).waitFor();
    await hands.page.keyboard.press('Escape');
  });
});
