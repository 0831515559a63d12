import { describe, expect, it } from 'vitest';
import { previewShell } from '../../client/src/preview-shell.ts';
import { preview } from '../../server/src/features/preview.ts';
import { faultsOfHtml } from '../hardening/outputs.ts';
import { sampleUri, sampleWorkspace } from '../support/files.ts';

/** The directives of a policy (W3C, Content Security Policy Level 3, 2.2): a name, and the sources it allows. */
const directivesOf = (page: string): Record<string, string[]> => {
  const policy = /<meta http-equiv="Content-Security-Policy" content="([^"]*)">/.exec(page)![1]!;
  return Object.fromEntries(
    policy.split(';').map((one) => {
      const [name, ...sources] = one.trim().split(/\s+/);
      return [name!, sources];
    }),
  );
};

describe('the page around the preview', () => {
  const page = previewShell('n0nce', 'es', 'Vista previa');

  it('loads nothing and runs only the script with the nonce', () => {
    expect(directivesOf(page)).toEqual({
      'default-src': ["'none'"],
      'style-src': ["'unsafe-inline'"],
      'script-src': ["'nonce-n0nce'"],
    });
    // Scripts before the policy would run whatever it says.
    expect(page.indexOf('Content-Security-Policy')).toBeLessThan(page.indexOf('<script'));
    expect(page.match(/<script[^>]*>/g)).toEqual(['<script nonce="n0nce">']);
    expect(page).not.toMatch(/\son[a-z]+\s*=\s*["']|javascript:|<(?:base|iframe|object|embed|form|link)\b/i);
    expect(page).not.toMatch(/https?:|\beval\(|new Function|\bfetch\(|XMLHttpRequest|WebSocket|import\(/);
  });

  it('has a new nonce each time it is opened', () => {
    expect(previewShell('other', 'en', 'Preview')).toContain("script-src 'nonce-other'");
    expect(previewShell('other', 'en', 'Preview')).not.toContain('n0nce');
  });

  it('gets fragments without scripts, URLs or event handlers', () => {
    for (const name of ['quarter-panel', 'quarter-panel-faulty', 'hybrid-door']) {
      const html = preview(sampleWorkspace(), sampleUri(`${name}.repair-plan.yaml`), {
        today: '2027-02-05',
      })!;
      expect(faultsOfHtml(html)).toEqual([]);
      expect(html).not.toMatch(/<script|\son[a-z]+\s*=\s*"/i);
      // Colours come from the editor: none of its own may stand on a dark ground.
      expect(html).toContain('--paper:var(--vscode-editor-background)');
    }
  });
});
