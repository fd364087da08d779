/**
 * Source times as an edit list writes them: the timecode of the file.
 *
 * A list states neither where a file begins nor how long it is. Times that count from the file's start become timecode by the
 * report's stamp where there is one; what the timeline states of its files beyond that is lost and told, once for each file.
 */

import { add, formatRational, type Rational } from '../time/rational.ts';
import type { Clip } from '../timeline/model.ts';
import type { LossLog } from './loss.ts';
import type { MediaFacts } from './mediaFacts.ts';

export function edlSourceTime(clip: Clip, facts: MediaFacts, log: LossLog): Rational {
  if (facts.from === 'stated') {
    tellOnce(
      log,
      clip,
      facts,
      'stated',
      (also) =>
        `Where its file begins and how long it is has no place in an edit list${also}. The source labels are what they were.`,
    );
    return clip.sourceStart;
  }
  if (facts.from !== 'media-time') return clip.sourceStart;
  if (facts.stamp !== null) return add(clip.sourceStart, facts.stamp);
  tellOnce(
    log,
    clip,
    facts,
    'media-time',
    (also) =>
      `Its source times count from the first frame or sample of its file, and the labels of a list are timecode${also}. They are written as they are: a file with a stamp of its own will be read at another place. Convert again beside an alignment report that gives the file's start.`,
  );
  return clip.sourceStart;
}

function tellOnce(log: LossLog, clip: Clip, facts: MediaFacts, what: string, message: (also: string) => string): void {
  const { url, name, reel } = clip.media;
  log.tellAlike(
    `${what} ${url ?? `${name ?? ''} ${reel ?? ''}`} ${formatRational(facts.origin)}`,
    { kind: 'time-stamp', clip: clip.index, track: clip.track, span: clip.media.urlSpan ?? clip.media.nameSpan ?? clip.span },
    (count) => message(count === 1 ? '' : ` (so with ${count - 1} more ${count === 2 ? 'clip' : 'clips'} of this file)`),
  );
}
