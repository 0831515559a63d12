import { readFileSync } from 'node:fs';
import path from 'node:path';
import { describe, expect, test } from 'vitest';
import { caution } from '../../server/src/features/caution.ts';
import { check } from '../../server/src/features/check.ts';
import { complete } from '../../server/src/features/completion.ts';
import { hover } from '../../server/src/features/hover.ts';
import { links } from '../../server/src/features/links.ts';
import { preview } from '../../server/src/features/preview.ts';
import { annotations } from '../../server/src/report/listing/annotations.ts';
import { humanReport } from '../../server/src/report/listing/human.ts';
import { sarifReport } from '../../server/src/report/listing/sarif.ts';
import { estimateCsv } from '../../server/src/report/print/estimate-data.ts';
import { estimate } from '../../server/src/report/print/estimate.ts';
import { folderReview } from '../../server/src/report/print/folder-review.ts';
import { jobCard } from '../../server/src/report/print/job-card.ts';
import { photosOf } from '../../server/src/report/print/photos.ts';
import { review } from '../../server/src/report/print/review.ts';
import { sampleUri, samples, samplesFolder, workspaceOf } from '../support/files.ts';
import { hostile, poisoned } from './poison.ts';
import { faultsOfCsv, faultsOfHtml, faultsOfMarkdown, faultsOfTerminal } from './outputs.ts';

const files = samples();
const uri = sampleUri('quarter-panel-faulty.repair-plan.yaml');
const today = '2027-02-10';
const photo = readFileSync(path.join(samplesFolder, 'photos/op25.jpg'));

function workspaceWith(poison: string, names: boolean) {
  let places = 0;
  const texts = Object.entries(files).map(([name, text]) => {
    const one = poisoned(name, text, poison, names);
    places += one.places;
    return [name, one.text];
  });
  return {
    places,
    workspace: workspaceOf(Object.fromEntries(texts) as Record<string, string>, sampleUri('')),
  };
}

describe.each([
  ['every text', false],
  ['every value, names and numbers too', true],
])('%s of the samples is', (_, names) => {
  test.each(Object.entries(hostile))('%s', (_, poison) => {
    const { workspace, places } = workspaceWith(poison, names);
    expect(places).toBeGreaterThan(80);
    const plan = workspace.plan(uri)!;
    const findings = check(workspace, uri, { today });
    const print = { today, caution };
    const name = (file: string): string => `${file.slice(file.lastIndexOf('/') + 1)}${poison}`;
    const photos = new Map(photosOf(plan).flatMap(({ uri }) => (uri === undefined ? [] : [[uri, photo]])));
    const reviewing = { ...print, sources: workspace, name };
    const pages = {
      'job card': jobCard(plan, { ...print, errors: 2 }),
      estimate: estimate(plan, { ...print, photos }),
      review: review({ plan, findings }, reviewing),
      folder: folderReview(
        { name: poison, files: [{ plan, findings }], unread: [{ uri: poison, reason: poison }] },
        reviewing,
      ),
      preview: preview(workspace, uri, { today })!,
    };
    for (const [which, page] of Object.entries(pages))
      expect([which, faultsOfHtml(page)]).toEqual([which, []]);
    expect(faultsOfCsv(estimateCsv(plan))).toEqual([]);

    const unread = [{ uri: 'file:///samples/x', reason: poison }];
    const listing = { files: [{ uri, findings }], unread, sources: workspace };
    const options = {
      width: 80,
      paint: (_: string, text: string) => text,
      name,
      caution,
      title: () => poison,
    };
    expect(faultsOfTerminal(humanReport(listing, options))).toEqual([]);
    const lines = annotations(listing, { name }).trimEnd().split('\n');
    expect(lines).toHaveLength(findings.length + 1);
    for (const line of lines) expect(line).toMatch(/^::(error|warning|notice) file=[^:,]*,[^:]*::[^\r\n]*$/);
    // Source: SARIF 2.1.0, 3.11.6: in a message `[text](target)` is a link.
    const { runs } = JSON.parse(
      sarifReport(listing, { version: '0', rules: [], root: 'file:///samples/', exitCode: 1 }),
    ) as { runs: { results: { message: { text: string } }[] }[] };
    expect(runs[0]!.results).toHaveLength(findings.length);
    for (const { message } of runs[0]!.results) {
      expect(message.text).not.toMatch(/\]\(/);
    }
  });

  test.each(Object.entries(hostile))('%s, in what the editor shows', (_, poison) => {
    const { workspace } = workspaceWith(poison, names);
    let shown = 0;
    for (const of of Object.keys(files).map(sampleUri)) {
      const text = workspace.text(of)!;
      const seen = new Set<string>();
      for (const { index, 0: word } of text.matchAll(/[A-Za-z][A-Za-z0-9-]+(?=[,:}\] \n])/g)) {
        if (seen.size === seen.add(word).size) continue;
        const markdown = hover(workspace, of, index)?.markdown;
        if (markdown === undefined) continue;
        shown++;
        expect(faultsOfMarkdown(markdown)).toEqual([]);
      }
      for (const { index } of text.matchAll(
        /(?<=(?:connectors|using|for|do|zone|source|rate|follow): \[?)/g,
      )) {
        for (const { documentation } of complete(workspace, of, index, { today }).items)
          expect(faultsOfMarkdown(documentation?.() ?? '')).toEqual([]);
      }
      for (const { target } of links(workspace, of)) expect(target).toMatch(/^(file:\/\/\/|https?:\/\/)/);
    }
    expect(shown).toBeGreaterThan(100);
  });
});

test.each([
  'command:workbench.action.quit',
  'javascript:alert(1)',
  'vscode://x/y',
  'data:text/html,x',
  ' command:x',
])('the address %s never becomes a link in a plan', (address) => {
  const quoted = JSON.stringify(address);
  const text = `plan: T-1
uses: [${quoted}]
sources: [{ id: S1, title: T, where: ${quoted} }]
operations: [{ id: op10, do: grind }]
evidence: [{ for: op10, photo: ${quoted} }]
`;
  const workspace = workspaceOf({ 'a.repair-plan.yaml': text });
  expect(links(workspace, 'file:///plans/a.repair-plan.yaml')).toEqual([]);
});

test('a lone surrogate in a path or an address causes no failure', () => {
  const text = `plan: T-1
uses: ["./\\ud83d.rate-sheet.yaml"]
sources: [{ id: S1, title: T, where: "https://a.invalid/\\ud83d" }]
operations: [{ id: op10, do: grind }]
evidence: [{ for: op10, photo: "./\\ud83d.jpg" }]
`;
  const workspace = workspaceOf({ 'a.repair-plan.yaml': text });
  expect(links(workspace, 'file:///plans/a.repair-plan.yaml').length).toBeGreaterThan(0);
});
