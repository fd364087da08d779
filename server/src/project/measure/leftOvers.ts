/**
 * What found no partner, in words: which picture, what was tried, why it did not hold, and what could be done.
 *
 * 'No match' and 'several places fit equally' are answers, and better ones than a guess.
 */

import { listInWords } from '../../core/text/words.ts';
import type { ClapReading } from '../../sound/claps/clap.ts';
import type { ScratchAnswer } from './matchScratches.ts';
import type { LeftOver, MeasuredPair } from './measurement.ts';
import type { OpenPicture, OpenSound } from './openRecordings.ts';

const MOST_PLACES = 4;

/** A picture whose own sound was compared with everything, or that has none. */
export function leftOverPicture(picture: OpenPicture, answer: ScratchAnswer | null, hasSounds: boolean): LeftOver {
  const reason = !hasSounds
    ? 'There is no sound it could belong to.'
    : answer === null
      ? 'It has no sound of its own to be compared, and no clap log names it. Write down in which of its frames the hands meet, and give that with --clap-log.'
      : comparedInVain(answer);
  return { severity: 'error', kind: 'picture', name: picture.name, reason };
}

function comparedInVain({ ambiguous, reason }: ScratchAnswer): string {
  if (ambiguous.length === 0) return `No match. ${reason ?? ''}`.trimEnd();
  return `Ambiguous, so nothing was chosen. ${ambiguous.map(placesInWords).join(' ')} A clap log decides it.`;
}

function placesInWords({ sound, match }: ScratchAnswer['ambiguous'][number]): string {
  if (match.kind !== 'ambiguous') return '';
  const places = match.places.slice(0, MOST_PLACES).map(({ offsetSamples }) => placeInWords(offsetSamples, sound));
  return `${sound.name}: ${match.reason} They are: ${listInWords(places)}.`;
}

function placeInWords(offsetSamples: number, { source }: OpenSound): string {
  const seconds = Math.abs(offsetSamples / source.sampleRate).toFixed(3);
  return `the sound began ${seconds} s ${offsetSamples >= 0 ? 'before' : 'after'} the camera`;
}

/** A sound that no picture belongs to. Where no picture was given at all, claps are what was asked for. */
export function leftOverSound(sound: OpenSound, reading: ClapReading, hasPictures: boolean): LeftOver | null {
  if (hasPictures)
    return { severity: 'information', kind: 'sound', name: sound.name, reason: 'No picture was found that belongs to it.' };
  if (reading.candidates.some(({ verdict }) => verdict === 'clap')) return null;
  return {
    severity: 'error',
    kind: 'sound',
    name: sound.name,
    reason: 'No clap was found in it, and no picture was given that it could belong to.',
  };
}

/** A recording in which a picture that found its place elsewhere fits in several: music, a loop, a copy. */
export function ambiguousBesides({ picture, matches, ambiguous }: ScratchAnswer): readonly LeftOver[] {
  if (matches.length === 0) return [];
  return ambiguous.map((found) => ({
    severity: 'information',
    kind: 'pair',
    name: `${picture.name} with ${found.sound.name}`,
    reason: placesInWords(found),
  }));
}

/** A match that does not hold for the whole take, or whose numbers mean that something was done to the file. */
export function doubtsAbout({ data, waveform }: MeasuredPair, picture: string, sound: string): readonly LeftOver[] {
  if (waveform === null || waveform.match.jumps.length === 0) return [];
  const count = waveform.match.jumps.length;
  return [
    {
      severity: 'warning',
      kind: 'pair',
      name: `${picture} with ${sound}`,
      reason: `The take is not in one piece: ${count === 1 ? 'one jump was' : `${count} jumps were`} found, and the report holds for the longest piece only, from frame ${String(data.frame.numerator)} on. Line up the other pieces by hand, or cut the recording at the jump and measure again.`,
    },
  ];
}
