/**
 * What one reading of a list carries from step to step. Made and thrown away inside `readEdl`.
 */

import type { EdlTape } from '../../syntax/edl/edlTape.ts';
import type { Rate } from '../../time/rate.ts';
import type { Rational } from '../../time/rational.ts';
import type { Acceptance, Transition } from '../../timeline/model.ts';
import type { ChannelField } from './edlChannels.ts';
import type { EdlClip } from './edlClip.ts';
import type { EdlCounting } from './edlCounting.ts';
import type { Motion } from './edlMotion.ts';
import type { LabelEvidence } from './edlRate.ts';
import type { RecordTimes } from './edlRecord.ts';
import type { TrackTable } from './edlTracks.ts';
import type { Observer } from './observer.ts';

/** The same fields, still open for writing. */
type Draft<T> = { -readonly [K in keyof T]: T[K] };

/** A transition whose outgoing clip is yet to be found. */
export interface OpenTransition {
  readonly transition: number;
  readonly event: number;
  readonly outgoingEvent: number | null;
  readonly incomingClip: number | null;
  /** The M2 line of the outgoing side, if there is one. */
  readonly outgoingMotion: Motion | null;
}

export interface Reading {
  readonly tape: EdlTape;
  readonly rate: Rate;
  readonly evidence: LabelEvidence;
  readonly counting: EdlCounting;
  readonly record: RecordTimes;
  readonly observer: Observer;
  readonly clips: EdlClip[];
  readonly tracks: TrackTable;
  readonly transitions: Draft<Transition>[];
  readonly openTransitions: OpenTransition[];
  readonly acceptances: Acceptance[];
  readonly secondsOf: (frames: number) => Rational;
  /** Channel fields met so far, by their text; those of up to three characters by a number made of them. */
  readonly fields: Map<string | number, ChannelField>;
  readonly otherChannels: Map<string, number>;
}
