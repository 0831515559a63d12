// The language server's entry: `main.ts` in a process of Node, `browser.ts` in a browser's worker. One bundle serves both, and
// runs of the other nothing at all.
void (typeof process === 'object' ? import('./main.ts') : import('./browser.ts'));
