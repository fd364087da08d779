/**
 * The cut as an edit decision list: cuts only, one picture and two sound channels, non-drop labels of 24.
 *
 * Events stand in record order, picture before sound. A recording cut alike on both channels is one event on AA.
 */

import { type Fraction, fraction, over, plus, times, whole } from './fraction.ts';
import { frameOfLabel, labelOfFrame } from './labels.ts';
import { FRAMES_PER_SECOND, type PlacedCut, type PlacedPicture, type PlacedSound } from './place.ts';
import { SAMPLE_RATE } from './shoot.ts';

interface EdlEvent {
  readonly reel: string;
  readonly channel: 'V' | 'A' | 'A2' | 'AA';
  readonly sourceIn: bigint;
  readonly from: number;
  readonly length: number;
  readonly comments: readonly string[];
}

const RECORD_START = frameOfLabel('01:00:00:00');

export function writeEdl(cut: PlacedCut, title: string): string {
  const events = [...cut.pictures.map(pictureEvent), ...soundEvents(cut.sounds)].sort((left, right) => left.from - right.from);
  const lines = [`TITLE: ${title}`, 'FCM: NON-DROP FRAME', ''];
  for (const [index, event] of events.entries()) {
    const times = [event.sourceIn, event.sourceIn + BigInt(event.length)].concat(
      [event.from, event.from + event.length].map((frame) => RECORD_START + BigInt(frame)),
    );
    const number = String(index + 1).padStart(3, '0');
    lines.push(`${number}  ${event.reel.padEnd(8)} ${event.channel.padEnd(5)} C        ${times.map(labelOfFrame).join(' ')}`);
    lines.push(...event.comments.map((comment) => `* ${comment}`), '');
  }
  return lines.join('\n');
}

/** Frame number of the label at which a picture clip starts. */
export function pictureSourceIn({ clip, media, seconds }: PlacedPicture): bigint {
  return frameOfLabel(media.start) + wholeFrames(seconds, clip.name);
}

/** Frame number of the label at which a sound clip starts: its stamp meets timecode through real seconds. */
export function soundSourceIn({ clip, media, seconds }: PlacedSound): bigint {
  return wholeFrames(plus(over(fraction(media.startSample), fraction(SAMPLE_RATE)), seconds), clip.name);
}

function pictureEvent(placed: PlacedPicture): EdlEvent {
  const { clip, media } = placed;
  return {
    reel: media.reel,
    channel: 'V',
    sourceIn: pictureSourceIn(placed),
    from: clip.from,
    length: clip.length,
    comments: [`FROM CLIP NAME: ${clip.name}`, `SOURCE FILE: ${media.file}`],
  };
}

function soundEvents(sounds: readonly PlacedSound[]): readonly EdlEvent[] {
  return sounds
    .filter((placed, index) => index === 0 || sounds[index - 1]?.clip !== placed.clip)
    .map((placed) => {
      const { clip, media } = placed;
      return {
        reel: media.reel,
        channel: clip.channels.length === 2 ? 'AA' : clip.channels[0] === 'A1' ? 'A' : 'A2',
        sourceIn: soundSourceIn(placed),
        from: clip.from,
        length: clip.length,
        comments: [
          `FROM CLIP NAME: ${clip.name}`,
          `SOURCE FILE: ${media.file}`,
          ...(clip.accept === undefined ? [] : [`AFTERCLAP ACCEPT ${clip.accept.code}: ${clip.accept.reason}`]),
        ],
      };
    });
}

function wholeFrames(seconds: Fraction, what: string): bigint {
  return whole(times(seconds, FRAMES_PER_SECOND), `the source frame of '${what}'`);
}
