/**
 * A tag that runs into the next `<`, made into a tag of the same length that says as much of it as is certain.
 *
 * `<EntryPoint 24` becomes `<EntryPoint>24`, `<Track kind="Video>` and a line break `<Track kind="Video">`. What cannot
 * be kept in the same number of characters is blanked: the copy must not move.
 */

/** A longer piece is not a slip of the hand, and the patterns below are not made for it. */
const LONGEST_REPAIRED = 10_000;

const NAME = /^<(\/?)([^\s<>"'=/]+)/;
const WHOLE_ATTRIBUTE = /^\s+[^\s<>"'=/]+\s*=\s*(?:"[^"]*"|'[^']*')/;
const OPEN_ATTRIBUTE = /^\s+[^\s<>"'=/]+\s*=\s*(["'])([^"'>\r\n]*)(\/?>)?/;

/** `broken` starts with `<` and holds no `>` outside quotes. The result has its length. */
export function repairTag(broken: string): string {
  const blank = ' '.repeat(broken.length);
  const match = broken.length > LONGEST_REPAIRED ? null : NAME.exec(broken);
  if (match === null) return blank;
  const head = match[0];
  const rest = broken.slice(head.length);
  if (rest === '') return blank;
  if (match[1] === '/') return `${head}${' '.repeat(rest.length - 1)}>`;
  if (!/["'=]/.test(rest)) return `${head}>${rest.slice(1)}`;

  let kept = '';
  let remaining = rest;
  for (let whole = WHOLE_ATTRIBUTE.exec(remaining); whole !== null; whole = WHOLE_ATTRIBUTE.exec(remaining)) {
    kept += whole[0];
    remaining = remaining.slice(whole[0].length);
  }
  const open = OPEN_ATTRIBUTE.exec(remaining);
  const end = open?.[3] ?? (/^\s*\//.test(remaining) ? '/>' : '>');
  const candidates =
    open === null ? [] : [`${head}${kept}${open[0].slice(0, open[0].length - (open[3] ?? '').length)}${open[1]}${end}`];
  candidates.push(`${head}${kept}${end}`, `${head}${end}`);
  const fitting = candidates.find((candidate) => candidate.length <= broken.length);
  if (fitting === undefined) return blank;
  // The room left over goes before the end of the tag, where white space means nothing.
  return `${fitting.slice(0, fitting.length - end.length)}${' '.repeat(broken.length - fitting.length)}${end}`;
}
