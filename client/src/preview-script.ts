/**
 * The script inside the preview: shows the page it receives, reports the target of a click or Enter, and
 * highlights the elements at the cursor. Plain text, because a webview takes its script as text.
 */
export const previewScript = `
const editor = acquireVsCodeApi();
const root = document.getElementById('preview');
let cursor = -1;
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
function lead(event) {
  const part = event.target.closest('[data-from]');
  if (part) editor.postMessage({ kind: 'reveal', offset: Number(part.dataset.from) });
}
window.addEventListener('message', ({ data }) => {
  if (data.kind === 'draw') {
    const top = window.scrollY;
    root.innerHTML = data.html;
    for (const part of root.querySelectorAll('[data-from]')) part.tabIndex = 0;
    light();
    window.scrollTo(0, top);
  } else if (data.kind === 'cursor') {
    cursor = data.offset;
    const row = light();
    if (row) row.scrollIntoView({ block: 'nearest' });
  }
});
root.addEventListener('click', lead);
root.addEventListener('keydown', (event) => {
  if (event.key === 'Enter') lead(event);
});
editor.postMessage({ kind: 'ready' });
`;
