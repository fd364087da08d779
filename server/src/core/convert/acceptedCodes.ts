/**
 * Acceptances by what they are about, so that a writer can put each where its format has it.
 */

import type { Acceptance, Timeline } from '../timeline/model.ts';

export interface AcceptedCodes {
  /** Those about everything. */
  readonly everywhere: readonly Acceptance[];
  /** Those about a clip, by its index; one about a track stands with each of its clips. */
  readonly ofClip: (clip: number) => readonly Acceptance[];
}

export function acceptedCodes({ acceptances }: Timeline): AcceptedCodes {
  const everywhere: Acceptance[] = [];
  const byClip = new Map<number, Acceptance[]>();
  for (const acceptance of acceptances) {
    if (acceptance.clips === 'all') {
      everywhere.push(acceptance);
      continue;
    }
    for (const clip of acceptance.clips) {
      const own = byClip.get(clip);
      if (own === undefined) byClip.set(clip, [acceptance]);
      else own.push(acceptance);
    }
  }
  return { everywhere, ofClip: (clip) => byClip.get(clip) ?? [] };
}
