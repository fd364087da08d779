/**
 * Names for the files of a hand-off, which will be opened on other machines and other systems.
 *
 * A key of a report or the name of a timeline may hold anything. What some file system refuses becomes a hyphen, and names that differ
 * only in case or in how an accent is composed count as one, since they would overwrite each other somewhere.
 */

import { comparableName } from '../alignment/mediaNames.ts';

const LONGEST_NAME = 80;
/** Names that one widespread system keeps for devices, whatever ending follows. */
const RESERVED = /^(?:con|prn|aux|nul|com\d|lpt\d)(?=$|\.)/i;

/** One part of a path, without its ending; never empty. */
export function safeFileName(text: string): string {
  const plain = [
    ...text
      .normalize('NFC')
      .replace(/[\p{Cc}\p{Cf}\p{Cs}\p{Zl}\p{Zp}<>:"/\\|?*]+/gu, '-')
      .replace(/\s+/g, ' '),
  ]
    .slice(0, LONGEST_NAME)
    .join('')
    .replace(/^[. -]+|[. -]+$/g, '');
  const safe = plain === '' ? 'unnamed' : plain;
  return RESERVED.test(safe) ? `x-${safe}` : safe;
}

/** Answers each wanted path, or the same with a number where it is taken already. */
export function uniqueNames(): (stem: string, ending: string) => string {
  const taken = new Set<string>();
  return (stem, ending) => {
    for (let number = 1; ; number += 1) {
      const name = `${stem}${number === 1 ? '' : `-${number}`}${ending}`;
      const key = comparableName(name);
      if (taken.has(key)) continue;
      taken.add(key);
      return name;
    }
  };
}

/** The name of a timeline's file without its ending. */
export function timelineStem(fileName: string): string {
  return fileName.replace(/(?:\.(?:timeline|cpl)\.xml|(?<=.)\.[^.]*)$/i, '');
}
