/**
 * Which characters separate the words of a list, told from the bytes of `textUnits`.
 *
 * Lists come from many writers: tabs mixed with spaces, NUL and control codes as padding. All of them separate and none of
 * them means anything.
 */

export function isBlank(unit: number): boolean {
  return unit <= 0x20;
}

export function isDigit(unit: number): boolean {
  return unit >= 0x30 && unit <= 0x39;
}

/** The offset of the first character from `at` on that is not blank, or `end`. */
export function skipBlanks(units: Uint8Array, at: number, end: number): number {
  let position = at;
  while (position < end && (units[position] as number) <= 0x20) position += 1;
  return position;
}
