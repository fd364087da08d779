/**
 * The clips of a sync sheet: one row for each, in record order, with its times, its recording and how its sound stands.
 */

import { isUnread } from '../alignment/lookup.ts';
import type { Audit } from '../audit.ts';
import { mediaName } from '../review/mediaKey.ts';
import { hasOneLag } from '../rules/compareClips.ts';
import type { Comparison, Verdict } from '../rules/comparison.ts';
import type { ResolvedClip } from '../rules/context.ts';
import { groupBy } from '../rules/groupBy.ts';
import { lagAtBothEnds, lagInWords } from '../text/words.ts';
import { isSampleRate, secondsToCount } from '../time/rate.ts';
import { add, compare, equals, multiply, type Rational, subtract } from '../time/rational.ts';
import type { Clip, Timeline } from '../timeline/model.ts';
import { countText, hasTimecode, numberText, timecodeText } from '../views/timeText.ts';
import type { PulledRecording } from './pullList.ts';
import { recordingKey } from './recordingKey.ts';

export interface SheetClip {
  /** From 1, in record order. */
  readonly number: number;
  /** Index into the timeline's clips. */
  readonly index: number;
  readonly track: string;
  readonly role: Clip['role'];
  readonly name: string;
  readonly isEnabled: boolean;
  readonly recordIn: string;
  readonly recordOut: string;
  /** Seconds from the timeline's first instant. */
  readonly record: Clip['record'];
  /** Empty when the speed is not known. */
  readonly sourceIn: string;
  readonly sourceOut: string;
  readonly media: string;
  readonly reel: string;
  /** The report's key for the media; empty when it knows none. */
  readonly entry: string;
  readonly scene: string;
  readonly take: string;
  readonly roll: string;
  /** 'frames 420 to 660', 'samples 1234 to 5678' of the file; empty when not known. */
  readonly inFile: string;
  /** Of a sound with the pictures above it, in record order. */
  readonly lags: readonly SheetLag[];
  /** Why nothing was compared; null when something was, and for pictures whose sound was. */
  readonly unchecked: string | null;
  readonly accepted: readonly { readonly code: string; readonly reason: string }[];
  /** Codes of errors and warnings that stand on it and are open. */
  readonly open: readonly string[];
}

export interface SheetLag {
  /** The picture it was compared with, as the sheet names it. */
  readonly against: string;
  /** 'leads by 41.7 ms (1 frame at 23.976, 2002 samples)'. */
  readonly words: string;
  readonly verdict: Verdict;
  readonly head: Rational;
  readonly tail: Rational;
  /** How sure the report is: seconds earlier and later. */
  readonly uncertaintyEarly: Rational;
  readonly uncertaintyLate: Rational;
}

export function sheetClips(audit: Audit, recordings: readonly PulledRecording[]): readonly SheetClip[] {
  const { timeline, context, comparisons } = audit;
  const lagsOf = groupBy(comparisons, ({ soundClip }) => soundClip);
  const seen = new Set(comparisons.map(({ pictureClip }) => pictureClip));
  const acceptedOn = groupBy(audit.accepted, ({ finding }) => finding.clips[0] ?? -1);
  const openOn = groupBy(
    audit.findings.filter(({ severity }) => severity !== 'information'),
    ({ clips }) => clips[0] ?? -1,
  );
  const recordingOf = new Map(recordings.map((recording) => [recording.key, recording]));
  const inOrder = context.clips.toSorted(
    (left, right) =>
      compare(left.clip.record.start, right.clip.record.start) ||
      left.clip.track - right.clip.track ||
      left.clip.index - right.clip.index,
  );
  return inOrder.map((resolved, position) => {
    const { clip } = resolved;
    const lags = lagsOf.get(clip.index) ?? [];
    return {
      number: position + 1,
      index: clip.index,
      track: timeline.tracks[clip.track]?.name ?? '',
      role: clip.role,
      name: clip.name,
      isEnabled: clip.isEnabled,
      ...recordTimes(timeline, clip),
      ...sourceTimes(timeline, resolved),
      ...mediaFacts(resolved, recordingOf.get(recordingKey(resolved))),
      lags: lags.map((comparison) => sheetLag(timeline, comparison)),
      unchecked: lags.length > 0 || seen.has(clip.index) ? null : reasonUnchecked(audit, resolved),
      accepted: (acceptedOn.get(clip.index) ?? []).map(({ finding, reason }) => ({ code: finding.code, reason })),
      open: [...new Set((openOn.get(clip.index) ?? []).map(({ code }) => code))],
    };
  });
}

function sheetLag(timeline: Timeline, { lag, pair, pictureClip, verdict }: Comparison): SheetLag {
  const words = equals(lag.head, lag.tail)
    ? lagInWords(lag.head, timeline.rate, pair.sound.sampleRate)
    : lagAtBothEnds(lag).replace(/^it /, '');
  const picture = timeline.clips[pictureClip];
  return {
    against: picture === undefined || picture.name === '' ? pair.picture.key : picture.name,
    words,
    verdict,
    head: lag.head,
    tail: lag.tail,
    uncertaintyEarly: pair.uncertaintyEarly,
    uncertaintyLate: pair.uncertaintyLate,
  };
}

function recordTimes(timeline: Timeline, { record }: Clip): Pick<SheetClip, 'record' | 'recordIn' | 'recordOut'> {
  const { rate, startFrame, isDropFrame } = timeline;
  const label = (seconds: Rational): string => {
    const count = secondsToCount(seconds, rate);
    return hasTimecode(rate)
      ? timecodeText(startFrame === null ? count : add(startFrame, count), rate, isDropFrame)
      : countText(seconds, rate);
  };
  return { record, recordIn: label(record.start), recordOut: label(record.end) };
}

/** Source times are read as timecode, counted in samples or not: that is what stands on the recordist's report. */
function sourceTimes(timeline: Timeline, { clip, picture }: ResolvedClip): Pick<SheetClip, 'sourceIn' | 'sourceOut'> {
  const written = clip.start?.rate ?? null;
  const rate = written === null || isSampleRate(written) ? timeline.rate : written;
  const isDropFrame = clip.start?.isDropFrame ?? picture?.isDropFrame ?? timeline.isDropFrame;
  const label = (seconds: Rational): string =>
    hasTimecode(rate) ? timecodeText(secondsToCount(seconds, rate), rate, isDropFrame) : countText(seconds, rate);
  const out = sourceEnd(clip, clip.sourceStart);
  return { sourceIn: label(clip.sourceStart), sourceOut: out === null ? '' : label(out) };
}

function mediaFacts(
  resolved: ResolvedClip,
  recording: PulledRecording | undefined,
): Pick<SheetClip, 'media' | 'reel' | 'entry' | 'scene' | 'take' | 'roll' | 'inFile'> {
  const { clip, picture, sound } = resolved;
  const facts = recording?.found?.kind === 'found' ? recording.found.facts : null;
  return {
    media: mediaName(clip),
    reel: clip.media.reel ?? '',
    entry: (picture ?? sound)?.key ?? '',
    scene: facts?.scene ?? '',
    take: facts?.take ?? '',
    roll: facts?.roll ?? '',
    inFile: placeInFile(resolved),
  };
}

function placeInFile({ clip, picture, sound, mediaStart }: ResolvedClip): string {
  const end = sourceEnd(clip, mediaStart);
  const rate = sound?.sampleRate ?? picture?.rate ?? null;
  if (end === null || rate === null) return '';
  const unit = sound === null ? 'frames' : 'samples';
  return `${unit} ${numberText(secondsToCount(mediaStart, rate))} to ${numberText(secondsToCount(end, rate))}`;
}

function sourceEnd({ speed, record }: Clip, start: Rational): Rational | null {
  if (speed.kind !== 'constant') return null;
  return add(start, multiply(speed.scalar, subtract(record.end, record.start)));
}

function reasonUnchecked({ input, context }: Audit, { clip, picture, sound }: ResolvedClip): string | null {
  if (!clip.isEnabled) return 'disabled';
  if (clip.role === 'other') return null;
  if (clip.media.kind === 'generator') return 'made by the editor, not recorded';
  if (clip.doubt !== null) return `its place is doubtful: ${clip.doubt}`;
  if (!hasOneLag(clip))
    return clip.speed.kind === 'unknown' ? `its speed is not known: ${clip.speed.reason}` : 'it runs backwards or stands still';
  if (input.reports.length === 0) return 'there is no report';
  if (input.reports.every(isUnread)) return 'nothing can be read of the report';
  if (picture === null && sound === null) return 'not in the report';
  if (clip.role === 'picture') {
    if (picture === null) return 'the report has it as a sound';
    return (context.alignment.pairsByPicture.get(picture) ?? []).length === 0
      ? 'the report pairs no sound with it'
      : 'no sound of its pair under it';
  }
  if (sound === null) return "the camera's own sound";
  return (context.alignment.pairsBySound.get(sound) ?? []).length === 0
    ? 'the report pairs no picture with it'
    : 'no picture of its pair over it';
}
