/**
 * Names for a report that is to be written. Timelines find a report by its ending, so every name has it.
 */

const ENDING = '.alignment.json';

export function isReportName(name: string): boolean {
  return name.toLowerCase().endsWith(ENDING);
}

/** After the folder; numbered when that name is taken. Names are compared without regard to case, as many disks do. */
export function freeReportName(folderName: string, taken: readonly string[]): string {
  const stem = folderName === '' ? 'recordings' : folderName;
  for (let number = 1; ; number += 1) {
    const name = `${stem}${number === 1 ? '' : `-${number}`}${ENDING}`;
    if (!isTaken(name, taken)) return name;
  }
}

/** Why `name` can't be the name of a new report; null when it can. */
export function reportNameProblem(name: string, taken: readonly string[]): string | null {
  if (/[\\/]/.test(name)) return 'A name, not a path: the report is written beside the recordings.';
  if (!isReportName(name) || name.length === ENDING.length) return `The name of a report ends in ${ENDING}.`;
  if (isTaken(name, taken)) return `${name} exists; choose another name, or go back and merge into it.`;
  return null;
}

function isTaken(name: string, taken: readonly string[]): boolean {
  return taken.some((other) => other.toLowerCase() === name.toLowerCase());
}
