/**
 * Paths as URI references (RFC 3986), for formats that want them: relative where the path is, else with the scheme file.
 */

/** `/` between segments, everything else that a URI can't hold in percent escapes. */
export function fileUri(path: string): string {
  const slashed = path.replaceAll('\\', '/');
  const segments = slashed.replace(/^(?:\.\/)+/, '').split('/');
  const isDrive = /^[a-z]:$/i.test(segments[0] ?? '');
  const escaped = segments.map((segment, index) => (isDrive && index === 0 ? segment : escapedSegment(segment))).join('/');
  if (slashed.startsWith('/')) return `file://${escaped}`;
  return isDrive ? `file:///${escaped}` : escaped;
}

/** Half a surrogate pair can't be escaped; it is written as the sign for what can't be read. */
function escapedSegment(segment: string): string {
  return encodeURIComponent(segment.replace(/[\ud800-\udbff](?![\udc00-\udfff])|(?<![\ud800-\udbff])[\udc00-\udfff]/g, '\ufffd'));
}
