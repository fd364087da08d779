/**
 * Names of media files as timelines and reports spell them, brought to one form so that they can be compared.
 *
 * A timeline may hold a URL with escapes, a Windows path, a bare name, or a name typed by hand. Nothing here throws: an
 * escape that decodes to nothing stays as written.
 */

const LONGEST_EXTENSION = 5;

/**
 * One form for all spellings of a name: no case, no outer blanks, composed accents. File systems differ in both, and a
 * file copied from one to another keeps neither.
 */
export function comparableName(text: string): string {
  return (isAscii(text) ? text : text.normalize('NFC')).toLowerCase().trim();
}

/**
 * A comparable name without its extension; the name itself when it has none. An extension is one to five letters and digits
 * after the last dot, at least one of them a letter: `A001.002` and `take.12` have none.
 */
export function withoutExtension(comparable: string): string {
  const dot = comparable.lastIndexOf('.');
  const length = comparable.length - dot - 1;
  if (dot < 1 || length < 1 || length > LONGEST_EXTENSION) return comparable;
  let hasLetter = false;
  for (let at = dot + 1; at < comparable.length; at += 1) {
    const code = comparable.charCodeAt(at);
    const isLetter = code >= 97 && code <= 122;
    if (!isLetter && (code < 48 || code > 57)) return comparable;
    hasLetter ||= isLetter;
  }
  return hasLetter ? comparable.slice(0, dot) : comparable;
}

/**
 * The file names a media URL or path may mean, likeliest first; empty for an empty one.
 *
 * More than one, because writers disagree about escapes: `#` and `?` end the path in a URL, yet some writers leave
 * them bare in file names, and a percent sign may be an escape or part of the name.
 */
export function fileNamesOfUrl(url: string): readonly string[] {
  const hasScheme = /^[a-z][a-z0-9+.-]+:/i.test(url);
  const spellings = hasScheme
    ? [decodeEscapes(url), decodeEscapes(url.replace(/[?#].*$/s, '')), url]
    : [url, decodeEscapes(url), decodeEscapes(url.replace(/[?#].*$/s, ''))];
  const names = new Set<string>();
  for (const spelling of spellings) {
    const name = lastSegment(spelling);
    if (name !== '') names.add(name);
  }
  return [...names];
}

/** Percent escapes turned into characters, run by run, so that a wrong one spoils only itself. */
function decodeEscapes(text: string): string {
  if (!text.includes('%')) return text;
  return text.replace(/(?:%[0-9a-f]{2})+/gi, (run) => {
    try {
      return decodeURIComponent(run);
    } catch {
      return run;
    }
  });
}

function lastSegment(path: string): string {
  let end = path.length;
  while (end > 0 && isSeparator(path.charCodeAt(end - 1))) end -= 1;
  let start = end;
  while (start > 0 && !isSeparator(path.charCodeAt(start - 1))) start -= 1;
  return path.slice(start, end);
}

/** Plain names are nearly all there are, and composing accents costs more than all the rest. */
function isAscii(text: string): boolean {
  for (let at = 0; at < text.length; at += 1) if (text.charCodeAt(at) > 127) return false;
  return true;
}

function isSeparator(code: number): boolean {
  return code === 47 || code === 92;
}
