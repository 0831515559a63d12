import { previewScript } from './preview-script.ts';

/** The page around the preview: nothing may be loaded, and only our own script may run. */
export const previewShell = (nonce: string): string => `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; script-src 'nonce-${nonce}'">
</head>
<body>
<div id="preview" role="document" aria-label="Preview of the plan"></div>
<script nonce="${nonce}">${previewScript}</script>
</body>
</html>`;
