/**
 * What makes a finding the same finding in a later version of the file.
 *
 * Lines move and messages are reworded, so neither counts. What counts is the code, the clips it is about with their media, and
 * how far they are out; where there is no lag, the characters it stands on. A lag that changed is another finding: somebody
 * touched the clip, and it should be looked at again.
 */

import type { Finding, FindingCode } from '../rules/finding.ts';
import type { Span } from '../text/span.ts';
import { formatRational, parseDecimal } from '../time/rational.ts';
import type { Timeline } from '../timeline/model.ts';
import { hash64 } from './hash64.ts';
import { mediaName } from './mediaKey.ts';

export interface FindingIdentity {
  readonly code: FindingCode;
  /** 'name [media]' of each clip it is about; empty for findings about no clip. */
  readonly clips: readonly string[];
  /** Seconds at head and tail, as `num/den`; null where the finding has no lag. */
  readonly lag: readonly [head: string, tail: string] | null;
  /** The characters it stands on, white space made one blank and a number its value; null for findings with a lag and for long places. */
  readonly on: string | null;
}

/** Longer places are whole clips, whose text changes with every reformatting. */
const LONGEST_PLACE = 80;

/** `timeline` is null for findings on a report or a settings file. */
export function identityOf(finding: Finding, text: string, timeline: Timeline | null): FindingIdentity {
  const { code, lag, place } = finding;
  return {
    code,
    clips: timeline === null ? [] : finding.clips.map((index) => clipName(timeline, index)),
    lag: lag === null ? null : [formatRational(lag.head), formatRational(lag.tail)],
    on: lag === null ? shortPlace(text, place.span) : null,
  };
}

/** One text for one identity, for look-up. */
export function identityKey({ code, clips, lag, on }: FindingIdentity): string {
  return JSON.stringify([code, clips, lag, on]);
}

/**
 * Short names of findings, in their order: equal ones are told apart by their number in the file. `path` null leaves the file
 * out, for formats that state it beside.
 */
export function fingerprints(identities: readonly FindingIdentity[], path: string | null): readonly string[] {
  const counts = new Map<string, number>();
  return identities.map((identity) => {
    const key = identityKey(identity);
    const number = (counts.get(key) ?? 0) + 1;
    counts.set(key, number);
    return hash64(JSON.stringify([path, key, number]));
  });
}

function clipName({ clips }: Timeline, index: number): string {
  const clip = clips[index];
  return clip === undefined ? '' : `${clip.name} [${mediaName(clip)}]`;
}

function shortPlace(text: string, { start, end }: Span): string | null {
  if (end - start > LONGEST_PLACE) return null;
  const shown = text.slice(start, end).replace(/\s+/g, ' ').trim();
  // Programs that lay a file out anew write 24.0 as 24 and 1e3 as 1000.
  const number = parseDecimal(shown);
  return number === null ? shown : formatRational(number);
}
