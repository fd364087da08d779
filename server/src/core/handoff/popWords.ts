/**
 * The sync pops of a timeline in words: where the programme begins and ends, where the pops belong, and what stands there.
 */

import { amountOfTime, countOf } from '../text/words.ts';
import { type Rate, rateLabel } from '../time/rate.ts';
import { absolute, add, isInteger, type Rational, rational, sign, ZERO } from '../time/rational.ts';
import { framesPerDay } from '../time/timecode.ts';
import type { Timeline } from '../timeline/model.ts';
import { hasTimecode, numberText, timecodeText } from '../views/timeText.ts';
import { type PopState, popAt } from './popCheck.ts';
import { feetAndFrames, popPositions, popSamples } from './popPositions.ts';
import { findProgramme } from './programme.ts';

export interface PopReport {
  /** '01:00:00:00 (why) to 01:21:35:19 (why)', both frames shown. */
  readonly programme: string;
  /** Where it belongs, then what stands there. */
  readonly head: string;
  readonly tail: string;
  /** True when a pop is heard at its very frame. */
  readonly hasHead: boolean;
  readonly hasTail: boolean;
}

/** `stated`: first frame of the programme as somebody said it, in frames from the timeline's first instant. Null without a picture. */
export function popReport(timeline: Timeline, stated: number | null, sampleRate: Rate): PopReport | null {
  const programme = findProgramme(timeline, stated);
  if (programme === null) return null;
  const { firstFrame, lastFrame } = programme;
  const { head, tail, distanceFrames, distanceSeconds } = popPositions(firstFrame, lastFrame, timeline.rate);
  const label = frameLabel(timeline);
  const distance = `${distanceFrames} frames, ${amountOfTime(distanceSeconds)}`;
  const heard = { head: popAt(timeline, head, 'sound'), tail: popAt(timeline, tail, 'sound') };
  const film = filmPlace(timeline, head, firstFrame);
  const samples = numberText(popSamples(timeline.rate, sampleRate));
  return {
    programme: `${label(firstFrame)} (${programme.startReason}) to ${label(lastFrame)} (${programme.endReason}), first and last frame`,
    head: `${label(head)}: ${distance} before the first frame${film}. One frame of tone is ${samples} samples at ${sampleRateLabel(sampleRate)}. ${found(timeline, heard.head, head, 'head')}`,
    tail: `${label(tail)}: ${distance} after the start of the last frame. ${found(timeline, heard.tail, tail, 'tail')}`,
    hasHead: heard.head.kind === 'there',
    hasTail: heard.tail.kind === 'there',
  };
}

/** Record timecode of a frame; frames from the first instant where the timeline has none. */
export function frameLabel({ startFrame, rate, isDropFrame }: Timeline): (frame: number) => string {
  return (frame) => {
    const count = add(startFrame ?? ZERO, rational(frame));
    return hasTimecode(rate) ? timecodeText(wrapped(count, rate, isDropFrame), rate, isDropFrame) : `frame ${numberText(count)}`;
  };
}

/** A pop before 00:00:00:00 stands at the end of the day before. */
function wrapped(count: Rational, rate: Rate, isDropFrame: boolean): Rational {
  if (sign(count) >= 0) return count;
  return add(count, rational(framesPerDay(rate, isDropFrame)));
}

function found(timeline: Timeline, heard: PopState, frame: number, which: 'head' | 'tail'): string {
  const seen = popAt(timeline, frame, 'picture');
  if (heard.kind === 'no-room' && seen.kind === 'no-room') {
    return which === 'head' ? 'The timeline begins after it, so it has none.' : 'The timeline ends before it, so it has none.';
  }
  return `To hear: ${stateWords(timeline, heard, 'listening')}. To see: ${stateWords(timeline, seen, 'looking')}.`;
}

function stateWords(timeline: Timeline, state: PopState, sense: 'listening' | 'looking'): string {
  switch (state.kind) {
    case 'there':
      return `${clipWords(timeline, state.clip)} stands there, ${countOf(rational(state.lengthFrames), 'frame')} long`;
    case 'off':
      return `${clipWords(timeline, state.clip)} stands ${framesOff(state.frames)}`;
    case 'covered':
      return `${clipWords(timeline, state.clip)} covers it; whether a pop is in it, only ${sense} tells`;
    case 'missing':
    case 'no-room':
      return 'nothing';
  }
}

function framesOff(frames: Rational): string {
  return `${countOf(absolute(frames), 'frame')} ${sign(frames) > 0 ? 'late' : 'early'}`;
}

function clipWords(timeline: Timeline, index: number): string {
  const clip = timeline.clips[index];
  const track = clip === undefined ? '' : (timeline.tracks[clip.track]?.name ?? '');
  return `'${clip?.name ?? ''}'${track === '' ? '' : ` on ${track}`}`;
}

/** Reels counted in feet begin on the hour, with the pop nine feet and the picture twelve feet in (common practice). */
function filmPlace({ startFrame, rate, isDropFrame }: Timeline, head: number, firstFrame: number): string {
  const isWholeHour =
    startFrame !== null && isInteger(startFrame) && timecodeText(startFrame, rate, isDropFrame).endsWith(':00:00:00');
  if (!isWholeHour || rateLabel(rate) !== '24' || head <= 0) return '';
  return `, ${feetAndFrames(head)} feet and frames into the reel with the first frame at ${feetAndFrames(firstFrame)}`;
}

function sampleRateLabel(sampleRate: Rate): string {
  return `${numberText(sampleRate)} Hz`;
}
