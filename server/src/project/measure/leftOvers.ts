/**
 * What found no partner, in words: which picture, what was tried, why it did not hold, and what could be done.
 *
 * 'No match' and 'several places fit equally' are answers, and better ones than a guess.
 */

import { listInWords } from '../../core/rules/words.ts';
import type { ClapReading } from '../../sound/claps/clap.ts';
import type { ScratchAnswer } from './matchScratches.ts';
import type { LeftOver, MeasuredPair } from './measurement.ts';
import type { OpenPicture, OpenSound } from './openRecordings.ts';

/** Reasons given one by one; beyond these the rest is counted. */
const MOST_REASONS = 3;
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

function comparedInVain({ refusals }: ScratchAnswer): string {
  const ambiguous = refusals.flatMap(({ sound, match }) => (match.kind === 'ambiguous' ? [{ sound, match }] : []));
  if (ambiguous.length > 0) {
    const told = ambiguous.map(({ sound, match }) => {
      const places = match.places.slice(0, MOST_PLACES).map(({ offsetSamples }) => placeInWords(offsetSamples, sound));
      return `${sound.name}: ${match.reason} They are: ${listInWords(places)}.`;
    });
    return `Ambiguous, so nothing was chosen. ${told.join(' ')} A clap log decides it.`;
  }
  const reasons = refusals.map(({ sound, match }) => `${sound.name}: ${match.reason}`);
  const shown = reasons.slice(0, MOST_REASONS).join(' ');
  const rest = reasons.length - MOST_REASONS;
  return `No match. ${shown}${rest > 0 ? ` ${rest} more ${rest === 1 ? 'sound was' : 'sounds were'} tried in vain.` : ''}`;
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
