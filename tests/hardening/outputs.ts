/** What each kind of output must never hold, whatever stands in a plan. Each function lists the faults it finds. */

/** Elements of the prints, the preview and the pictures. None of them loads, runs or leads out of the page. */
const elements = new Set(
  (
    'html head meta title style body header main nav section article figure figcaption img a div p span strong b i em code small wbr h1 h2 h3 ol ul li dl dt dd ' +
    'table caption colgroup col thead tbody tfoot tr th td br abbr svg g defs desc pattern path rect circle line text tspan'
  ).split(' '),
);
const attributes = new Set(
  (
    'lang charset http-equiv content name class id href src alt role scope colspan rowspan aria-label aria-labelledby aria-hidden aria-describedby ' +
    'xmlns viewbox x y x1 y1 x2 y2 cx cy r rx ry d dx dy width height fill stroke stroke-width stroke-dasharray stroke-linecap stroke-linejoin ' +
    'text-anchor dominant-baseline transform patternunits patterntransform data-from data-spans data-label preserveaspectratio font-size opacity title'
  ).split(' '),
);

/** Controls, and characters that turn the direction of reading (Unicode Standard, chapter 23). */
const hidden = /[\u0000-\u0009\u000b-\u001f\u007f-\u009f\u202a-\u202e\u2066-\u2069\u200e\u200f\u061c]/;

const policy = /^default-src 'none'; style-src 'unsafe-inline'(?:; img-src data:)?$/;
const picture = /^data:image\/(?:png|jpeg);base64,[A-Za-z0-9+/]+=*$/;

/** Places of the same page, and pictures of the two kinds that cannot hold a script; nothing else is an address. */
function harmless(element: string, attribute: string, value: string): boolean {
  if (attribute === 'href') return element === 'a' && /^#[\w-]+$/.test(value);
  if (attribute === 'src') return element === 'img' && picture.test(value);
  if (attribute === 'content' && policy.test(value)) return true;
  // The alternative text of a picture is read out, never followed.
  return attribute === 'xmlns' || attribute === 'alt' || !/(?:javascript|data|vbscript|https?):/i.test(value);
}

export function faultsOfHtml(page: string): string[] {
  const faults: string[] = [];
  const styles = [...page.matchAll(/<style>([^<]*)<\/style>/g)].map(([, style]) =>
    // What stands in quotes is text.
    style!.replaceAll(/"[^"\\\n]*(?:\\.[^"\\\n]*)*"/g, '""'),
  );
  for (const style of styles) {
    if (/@import|url\((?!#)|expression|javascript/i.test(style)) faults.push('a style sheet that loads');
  }
  const rest = page
    .replace(/^<!doctype html>/, '')
    .replaceAll(/<style>[^<]*<\/style>/g, '')
    .replaceAll(
      /<(\/?)([a-zA-Z][a-zA-Z0-9-]*)((?:\s+[a-zA-Z:-]+="[^"<>]*")*)\s*\/?>/g,
      (_, slash: string, name: string, given: string) => {
        if (!elements.has(name.toLowerCase())) faults.push(`<${name}>`);
        if (slash && given) faults.push(`attributes on </${name}>`);
        for (const [, attribute, value] of given.matchAll(/([a-zA-Z:-]+)="([^"]*)"/g)) {
          if (!attributes.has(attribute!.toLowerCase())) faults.push(`${attribute!} on <${name}>`);
          if (!harmless(name, attribute!, value!)) faults.push(`an address in ${attribute!}`);
        }
        return '';
      },
    );
  const stray = /[<>]/.exec(rest);
  if (stray)
    faults.push(
      `a bare ${stray[0]} near ${JSON.stringify(rest.slice(Math.max(0, stray.index - 30), stray.index + 30))}`,
    );
  if (hidden.test(rest)) faults.push('a control character');
  return faults;
}

/** Our Markdown holds no link, no picture and no HTML at all (CommonMark 0.31, chapters 2.4, 6.3, 6.4, 6.6). */
export function faultsOfMarkdown(markdown: string): string[] {
  // Fenced examples, escapes and code spans are literal text.
  const live = markdown
    .replaceAll(/^```yaml\n[^]*?\n```$/gm, '')
    .replaceAll(/\\[!-/:-@[-`{-~]/g, '')
    .replaceAll(/`[^`\n]*`/g, '');
  const faults: string[] = [];
  if (/\]\s*[([:]/.test(live)) faults.push('a link or a picture');
  if (/<[a-zA-Z/!?]/.test(live)) faults.push('HTML or an address in angle brackets');
  if (live.includes('`')) faults.push('a code span that is open');
  if (hidden.test(markdown)) faults.push('a control character');
  return faults.map((fault) => `${fault} in ${JSON.stringify(markdown.slice(0, 300))}`);
}

/** RFC 4180, and the openings that spreadsheets take for formulas (OWASP, "CSV Injection"). */
export function faultsOfCsv(csv: string): string[] {
  const faults: string[] = [];
  const records = fieldsOf(csv.replace(/^\ufeff/, ''));
  const width = records[0]?.length ?? 0;
  for (const record of records) {
    if (record.length !== width) faults.push(`${record.length} cells in a row of ${width}`);
    for (const cell of record) {
      if (/^\s*[=+@\uff1d\uff0b\uff0d\uff20]|^\s*-(?!\d+(\.\d+)?$)/.test(cell))
        faults.push(`a formula: ${cell}`);
      if (hidden.test(cell) || cell.includes('\n'))
        faults.push(`a control character in ${JSON.stringify(cell)}`);
    }
  }
  return faults;
}

/** The cells of comma-separated values, as a spreadsheet reads them. */
function fieldsOf(csv: string): string[][] {
  const rows: string[][] = [[]];
  let cell = '';
  let quoted = false;
  for (let i = 0; i < csv.length; i++) {
    const sign = csv[i]!;
    if (quoted) {
      if (sign !== '"') cell += sign;
      else if (csv[i + 1] === '"') cell += csv[++i]!;
      else quoted = false;
    } else if (sign === '"' && cell === '') quoted = true;
    else if (sign === ',') {
      rows.at(-1)!.push(cell);
      cell = '';
    } else if (sign === '\n') {
      rows.at(-1)!.push(cell.replace(/\r$/, ''));
      rows.push([]);
      cell = '';
    } else cell += sign;
  }
  if (cell !== '') rows.at(-1)!.push(cell);
  return rows.filter((row) => row.length > 0);
}

/** Text for a terminal without colour. */
export function faultsOfTerminal(text: string): string[] {
  const found = hidden.exec(text);
  return found ? [`U+${found[0].charCodeAt(0).toString(16)} for the terminal`] : [];
}
