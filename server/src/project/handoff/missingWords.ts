/**
 * What a hand-off lacks, in sentences: recordings first, each once, with the reels that fall out because of it.
 */

import type { PulledRecording } from '../../core/handoff/pullList.ts';
import { listInWords } from '../../core/text/words.ts';
import type { RefusedReel } from './planReels.ts';

export function missingSentences(refused: readonly RefusedReel[], recordings: readonly PulledRecording[]): readonly string[] {
  const lacking = new Map<string, { readonly name: string; readonly reason: string }>();
  for (const { key, name, found } of recordings) {
    if (found?.kind === 'absent') lacking.set(key, { name, reason: found.reason });
  }
  const reelsBy = new Map<string, string[]>();
  const others: string[] = [];
  for (const { what, reason, recordings: unusable } of refused) {
    if (reason !== null) others.push(`No reel of ${what}: ${reason}.`);
    for (const { key, name, reason: why } of unusable) {
      if (!lacking.has(key)) lacking.set(key, { name, reason: why });
      reelsBy.set(key, [...(reelsBy.get(key) ?? []), what]);
    }
  }
  // Recordings that lack for one reason are told in one sentence.
  const byReason = new Map<string, string[]>();
  for (const [key, { reason }] of lacking) byReason.set(reason, [...(byReason.get(reason) ?? []), key]);
  const sentences = [...byReason].map(([reason, keys]) => {
    const names = fewInWords(keys.map((key) => lacking.get(key)?.name ?? ''));
    const reels = [...new Set(keys.flatMap((key) => reelsBy.get(key) ?? []))];
    const without = reels.length === 0 ? '' : `, so there is no whole reel of ${fewInWords(reels)}`;
    return `${names} ${keys.length === 1 ? reason : reason.replace(/^was /, 'were ')}${without}.`;
  });
  return [...sentences, ...others];
}

const MOST_NAMES = 12;

/** The pull list names them all. */
function fewInWords(names: readonly string[]): string {
  if (names.length <= MOST_NAMES) return listInWords(names);
  return listInWords([...names.slice(0, MOST_NAMES), `${names.length - MOST_NAMES} more`]);
}
