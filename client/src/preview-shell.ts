import { previewScript } from './preview-script.ts';

const escaped = (text: string): string => text.replace(/[^\p{L}\p{N} -]/gu, '');

/** The page around the preview: nothing may be loaded, and only our own script may run. */
export const previewShell = (nonce: string, language: string, label: string): string => `<!doctype html>
<html lang="${escaped(language)}">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; script-src 'nonce-${nonce}'">
</head>
<body>
<div id="preview" role="document" aria-label="${escaped(label)}"></div>
<script nonce="${nonce}">${previewScript}</script>
</body>
</html>`;
