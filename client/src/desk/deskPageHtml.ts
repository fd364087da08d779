/**
 * The page of the clap desk as HTML: one style sheet, one script, and a policy that allows nothing else. No network, no inline
 * script or style, no frames, no evaluation. Camera pictures are drawn from memory and need no permission.
 */

export interface DeskPage {
  /** Where scripts and styles of the extension come from, as a source of the policy. */
  readonly source: string;
  readonly scriptUri: string;
  readonly styleUri: string;
  /** Fresh for each page. */
  readonly nonce: string;
  /** Of the report: the page keeps it, so that it can be shown again after a restart. */
  readonly uri: string;
}

export function deskPageHtml({ source, scriptUri, styleUri, nonce, uri }: DeskPage): string {
  const policy = `default-src 'none'; script-src 'nonce-${nonce}'; style-src ${source}; base-uri 'none'; form-action 'none'`;
  return `<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${escaped(policy)}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Clap desk</title>
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
