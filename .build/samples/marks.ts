/**
 * The findings the samples must bring, as marks a person can check by eye: code, clip, and the very characters underlined.
 *
 * Nothing else may be found; what is fine must stay unmarked.
 */

import { EVENTS, type Expected } from './cutList.ts';
import { frameOfLabel, labelOfFrame } from './labels.ts';
import type { PlacedCut, PlacedPicture, PlacedSound } from './place.ts';
import { pictureSourceIn, soundSourceIn } from './writeEdl.ts';
import { rateText } from './writeOtio.ts';
import { editRate } from './writeXml.ts';

export type SampleFormat = Expected['formats'][number];

export interface Mark {
  readonly event: string;
  readonly code: string;
  readonly clip: string;
  readonly characters: string;
  /** A word of the cause that must be claimed; null when none need be. */
  readonly cause: string | null;
}

/** In order of the cut. A clip on two channels is two clips in OTIO and XML, one event in an edit decision list. */
export function expectedMarks(cut: PlacedCut, format: SampleFormat): readonly Mark[] {
  return EVENTS.flatMap(({ id, expected }) =>
    expected
      .filter(({ formats }) => formats.includes(format))
      .flatMap((finding) => {
        const pictures = cut.pictures.filter(({ clip }) => clip.name === finding.clip);
        const sounds = cut.sounds.filter(({ clip }) => clip.name === finding.clip);
        const places = [
          ...pictures.map((placed) => pictureCharacters(placed, finding.on, format)),
          ...sounds.map((placed) => soundCharacters(placed, finding.on, format)),
        ];
        const shown = format === 'edl' ? places.slice(0, 1) : places;
        return shown.map((characters) => ({
          event: id,
          code: finding.code,
          clip: finding.clip,
          characters,
          cause: finding.cause,
        }));
      }),
  );
}

function pictureCharacters(placed: PlacedPicture, on: Expected['on'], format: SampleFormat): string {
  if (format === 'edl') return labelOfFrame(pictureSourceIn(placed));
  if (on === 'rate') return format === 'otio' ? rateText(placed.countedAt) : editRate(placed.countedAt);
  return format === 'otio' ? `${frameOfLabel(placed.media.start) + placed.entry}.0` : placed.entry.toString();
}

function soundCharacters(placed: PlacedSound, on: Expected['on'], format: SampleFormat): string {
  if (format === 'edl') return labelOfFrame(soundSourceIn(placed));
  if (on === 'rate') return format === 'otio' ? rateText(placed.countedAt) : editRate(placed.countedAt);
  return format === 'otio' ? `${BigInt(placed.media.startSample) + placed.entry}.0` : placed.entry.toString();
}
