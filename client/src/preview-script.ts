/**
 * The script inside the preview: shows the page it receives, reports the target of a click or Enter, and
 * highlights the elements at the cursor. Plain text, because a webview takes its script as text.
 */
export const previewScript = `
const editor = acquireVsCodeApi();
const root = document.getElementById('preview');
let cursor = -1;
const parts = () => [...root.querySelectorAll('[data-from]')].filter((part) => part.getClientRects().length > 0);
const keyOf = (part) => part.tagName + ' ' + (part.getAttribute('aria-label') || part.textContent);
/* One part takes the Tab key; the arrow keys lead on from it. */
function stopAt(stop, focus) {
  for (const part of root.querySelectorAll('[data-from]')) part.tabIndex = part === stop ? 0 : -1;
  if (focus && stop) stop.focus({ preventScroll: focus === 'quiet' });
}
function light() {
  let row;
  for (const part of root.querySelectorAll('[data-spans]')) {
    const lit = part.dataset.spans.split(' ').some((span) => {
      const [from, to] = span.split('-').map(Number);
      return from <= cursor && cursor <= to;
    });
    part.classList.toggle('lit', lit);
    if (lit && !row && part.tagName === 'TR') row = part;
  }
  return row;
}
function draw(html) {
  const top = window.scrollY;
  const before = parts();
  const stop = before.findIndex((part) => part.tabIndex === 0);
  const focused = root.contains(document.activeElement);
  const key = stop < 0 ? undefined : keyOf(before[stop]);
  root.innerHTML = html;
  for (const svg of root.querySelectorAll('svg[role=img]')) {
    if (svg.querySelector('[data-from]')) svg.setAttribute('role', 'group');
  }
  for (const part of root.querySelectorAll('g[data-from]')) part.setAttribute('role', 'button');
  const after = parts();
  stopAt(after.find((part) => keyOf(part) === key) || after[Math.min(Math.max(stop, 0), after.length - 1)], focused && 'quiet');
  light();
  window.scrollTo(0, top);
}
function lead(event) {
  const part = event.target.closest('[data-from]');
  if (!part) return;
  stopAt(part);
  editor.postMessage({ kind: 'reveal', offset: Number(part.dataset.from) });
}
const steps = { ArrowDown: 1, ArrowRight: 1, ArrowUp: -1, ArrowLeft: -1 };
function move(event) {
  const all = parts();
  const at = all.indexOf(event.target.closest('[data-from]'));
  if (at < 0) return;
  const to =
    event.key === 'Home' ? 0 : event.key === 'End' ? all.length - 1 : event.key in steps ? at + steps[event.key] : -1;
  if (to < 0 || to >= all.length) return;
  event.preventDefault();
  stopAt(all[to], 'shown');
}
window.addEventListener('message', ({ data }) => {
  if (data.kind === 'draw') draw(data.html);
  else if (data.kind === 'cursor') {
    cursor = data.offset;
    const row = light();
    if (row) row.scrollIntoView({ block: 'nearest' });
  }
});
root.addEventListener('click', lead);
root.addEventListener('keydown', (event) => {
  if (event.key === 'Enter') lead(event);
  else move(event);
});
window.addEventListener('resize', () => {
  const all = parts();
  if (!all.some((part) => part.tabIndex === 0)) stopAt(all[0]);
});
editor.postMessage({ kind: 'ready' });
`;
