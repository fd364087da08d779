/**
 * The order in which people expect numbered names: `cam-a-9` before `cam-a-10`.
 *
 * Not the platform's collation, which depends on language and version: files written in this order must be the same everywhere.
 */

/** Runs of digits compare by value, everything else by UTF-16 code; of equal numbers the one with more leading zeros comes first. */
export function compareNaturally(left: string, right: string): number {
  const leftParts = partsOf(left);
  const rightParts = partsOf(right);
  for (const [index, leftPart] of leftParts.entries()) {
    const rightPart = rightParts[index];
    if (rightPart === undefined) return 1;
    const order = compareParts(leftPart, rightPart);
    if (order !== 0) return order;
  }
  return leftParts.length - rightParts.length || byCode(left, right);
}

function partsOf(text: string): readonly string[] {
  return text.match(/\d+|\D+/g) ?? [];
}

function compareParts(left: string, right: string): number {
  if (!/^\d/.test(left) || !/^\d/.test(right)) return byCode(left, right);
  const leftDigits = left.replace(/^0+(?=\d)/, '');
  const rightDigits = right.replace(/^0+(?=\d)/, '');
  return leftDigits.length - rightDigits.length || byCode(leftDigits, rightDigits);
}

function byCode(left: string, right: string): number {
  return left < right ? -1 : left > right ? 1 : 0;
}
