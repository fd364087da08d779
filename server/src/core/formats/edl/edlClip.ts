/**
 * Clips and media of a list, as the neutral timeline asks for them.
 *
 * What costs when a list of 20,000 events is read is allocation: with a plain object for each clip, span, name and written
 * time, the timeline takes over six times the text, and most of the reading is garbage collection. Spans, names and written
 * times are needed only where something is said about a clip. So the numbers of an event are kept once, its channels
 * share them, and these two classes make the rest when asked. They hold data and do nothing.
 *
 * What would break: copying one with `{ ...clip }` takes its fields and leaves its getters. Nothing in the core copies clips.
 */

import { type Span, span } from '../../text/span.ts';
import type { Rate } from '../../time/rate.ts';
import { type Rational, ZERO } from '../../time/rational.ts';
import type { Clip, Media, Speed, TimeRange, WrittenTime } from '../../timeline/model.ts';

/** What a reel column says. `auxiliary`: AX, or no reel at all; tells nothing about the media. */
export type ReelKind = 'tape' | 'generator' | 'auxiliary';

/** What the clips of one event line have in common. */
export interface EventFacts {
  /** Index of the event. */
  readonly event: number;
  readonly rate: Rate;
  /** Offsets of the event line with what is attached below it. */
  readonly start: number;
  readonly end: number;
  readonly record: TimeRange;
  readonly sourceStart: Rational;
  /** Offsets of the source-in label, and the frame number it stands for. */
  readonly labelStart: number;
  readonly labelEnd: number;
  readonly sourceFrame: number;
  readonly isSourceDrop: boolean;
  readonly speed: Speed;
  readonly doubt: string | null;
  readonly media: EdlMedia;
}

/** Media named by a reel column and the comments below the event. Offsets are -1 where nothing is written. */
export class EdlMedia implements Media {
  declare private readonly text: string;
  declare private readonly reelKind: ReelKind;
  declare private readonly reelStart: number;
  declare private readonly reelEnd: number;
  declare private readonly nameStart: number;
  declare private readonly nameEnd: number;
  declare private readonly urlStart: number;
  declare private readonly urlEnd: number;

  /** Offsets in pairs, since a span for each would be made only to be taken apart. */
  constructor(
    text: string,
    reelKind: ReelKind,
    reelStart: number,
    reelEnd: number,
    nameStart: number,
    nameEnd: number,
    urlStart: number,
    urlEnd: number,
  ) {
    this.text = text;
    this.reelKind = reelKind;
    this.reelStart = reelStart;
    this.reelEnd = reelEnd;
    this.nameStart = nameStart;
    this.nameEnd = nameEnd;
    this.urlStart = urlStart;
    this.urlEnd = urlEnd;
  }

  get kind(): Media['kind'] {
    if (this.reelKind === 'generator') return 'generator';
    return this.reelKind === 'tape' || this.nameStart >= 0 || this.urlStart >= 0 ? 'file' : 'missing';
  }

  get url(): string | null {
    return this.urlStart < 0 ? null : this.text.slice(this.urlStart, this.urlEnd);
  }

  get urlSpan(): Span | null {
    return this.urlStart < 0 ? null : span(this.urlStart, this.urlEnd);
  }

  get name(): string | null {
    return this.nameStart < 0 ? null : this.text.slice(this.nameStart, this.nameEnd);
  }

  get nameSpan(): Span | null {
    return this.nameStart < 0 ? null : span(this.nameStart, this.nameEnd);
  }

  get reel(): string | null {
    return this.reelKind === 'tape' ? this.writtenReel : null;
  }

  get reelSpan(): Span | null {
    return this.reelKind === 'tape' ? this.writtenReelSpan : null;
  }

  get available(): null {
    return null;
  }

  get sourceIsMediaTime(): boolean {
    return false;
  }

  get rate(): null {
    return null;
  }

  get rateSpan(): null {
    return null;
  }

  /** The reel column whatever it says, AX and BL included: what a clip without a name is called. */
  get writtenReel(): string {
    return this.text.slice(this.reelStart, this.reelEnd);
  }

  get writtenReelSpan(): Span | null {
    return this.reelStart < this.reelEnd ? span(this.reelStart, this.reelEnd) : null;
  }
}

/** One channel of an event. */
export class EdlClip implements Clip {
  declare readonly index: number;
  declare readonly role: Clip['role'];
  /** Provisional until all channels of the list are known. */
  declare track: number;
  declare tailOverlap: Rational;
  declare private readonly facts: EventFacts;

  constructor(index: number, role: Clip['role'], track: number, facts: EventFacts) {
    this.index = index;
    this.role = role;
    this.track = track;
    this.tailOverlap = ZERO;
    this.facts = facts;
  }

  get name(): string {
    return this.facts.media.name ?? this.facts.media.writtenReel;
  }

  get nameSpan(): Span | null {
    return this.facts.media.nameSpan ?? this.facts.media.writtenReelSpan;
  }

  get span(): Span {
    return span(this.facts.start, this.facts.end);
  }

  get isEnabled(): boolean {
    return true;
  }

  get record(): TimeRange {
    return this.facts.record;
  }

  get doubt(): string | null {
    return this.facts.doubt;
  }

  get sourceStart(): Rational {
    return this.facts.sourceStart;
  }

  get speed(): Speed {
    return this.facts.speed;
  }

  get media(): EdlMedia {
    return this.facts.media;
  }

  get start(): WrittenTime {
    const { labelStart, labelEnd, sourceFrame, rate, isSourceDrop } = this.facts;
    return {
      span: span(labelStart, labelEnd),
      count: { numerator: sourceFrame, denominator: 1 },
      rate,
      rateSpan: null,
      isDropFrame: isSourceDrop,
    };
  }

  get length(): null {
    return null;
  }

  get textGroup(): number {
    return this.facts.event;
  }

  get headOverlap(): Rational {
    return ZERO;
  }
}
