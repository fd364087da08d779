/**
 * A page beside the text (lag chart, clap desk) as HTML: one style sheet, one script, and a policy that allows nothing else. No
 * network, no inline script or style, no images, no frames, no evaluation. Camera pictures are drawn from memory and need no permission.
 */

export interface Page {
  readonly title: string;
  /** Where scripts and styles of the extension come from, as a source of the policy. */
  readonly source: string;
  readonly scriptUri: string;
  readonly styleUri: string;
  /** Fresh for each page. */
  readonly nonce: string;
  /** Of the timeline or report: the page keeps it, so that it can be shown again after a restart. */
  readonly uri: string;
}

export function pageHtml({ title, source, scriptUri, styleUri, nonce, uri }: Page): string {
  const policy = `default-src 'none'; script-src 'nonce-${nonce}'; style-src ${source}; base-uri 'none'; form-action 'none'`;
  return `<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${escaped(policy)}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${escaped(title)}</title>
<link rel="stylesheet" href="${escaped(styleUri)}">
</head>
<body data-uri="${escaped(uri)}">
<script nonce="${escaped(nonce)}" src="${escaped(scriptUri)}"></script>
</body>
</html>
`;
}

function escaped(text: string): string {
  return text.replaceAll('&', '&amp;').replaceAll('"', '&quot;').replaceAll('<', '&lt;');
}
