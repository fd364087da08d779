/**
 * What the numbers of an alignment report mean: a pair as an offset between two files, an entry as a file with its stamp,
 * length and partners.
 */

import type { AlignmentReport, Pair, PictureEntry, SoundEntry } from '../alignment/model.ts';
import { mapPictureToSound } from '../alignment/pairLine.ts';
import { type Span, touches } from '../text/span.ts';
import { listInWords } from '../text/words.ts';
import { countToSeconds } from '../time/rate.ts';
import { add, type Rational, ZERO } from '../time/rational.ts';
import type { Hover } from './hover.ts';
import type { Block, Page } from './page.ts';
import { driftText, pairSentence, startedText } from './pairText.ts';
import { clockText, countText, hasTimecode, lengthText, numberText, rateText, timecodeText } from './timeText.ts';

/** Null where nothing of the report stands at `offset`. */
export function reportHoverAt(report: AlignmentReport, offset: number): Hover | null {
  const isHere = ({ span }: { readonly span: Span }): boolean => touches(span, offset);
  const pair = report.pairs.find(isHere);
  if (pair !== undefined) return { span: pair.span, page: pagePair(pair) };
  const picture = report.pictures.find(isHere);
  if (picture !== undefined) return { span: picture.keySpan, page: pagePicture(report, picture) };
  const sound = report.sounds.find(isHere);
  return sound === undefined ? null : { span: sound.keySpan, page: pageSound(report, sound) };
}

function pagePair(pair: Pair): Page {
  const { picture, sound } = pair;
  const pictureTime = countToSeconds(pair.frame, picture.rate);
  const soundTime = countToSeconds(pair.sample, sound.sampleRate);
  const drift = driftText(pair.driftPpm);
  const rows: string[][] = [
    ['at', countText(pictureTime, picture.rate), countText(soundTime, sound.sampleRate)],
    ['in its file', clockText(pictureTime), clockText(soundTime)],
  ];
  const stamps = [pictureStamp(picture, pair.frame), soundStamp(sound, pair.sample)];
  if (stamps.some((stamp) => stamp !== null)) rows.push(['by its stamp', ...stamps.map((stamp) => stamp ?? '')]);
  // Measured back to the picture's first frame: that is the offset between the two files.
  const offset = mapPictureToSound(pair, ZERO);
  const blocks: Block[] = [
    {
      kind: 'headline',
      text: `${sound.key} was started ${startedText(offset)}, ${picture.key}.`,
      detail: drift === null ? null : `Its clock runs ${drift}.`,
    },
    { kind: 'table', columns: ['', picture.key, sound.key], rows },
    { kind: 'note', text: pairSentence(pair) },
  ];
  return blocks;
}

function pagePicture(report: AlignmentReport, picture: PictureEntry): Page {
  const { key, rate, startFrame, frameCount, isDropFrame } = picture;
  const length = frameCount === null ? null : countToSeconds(frameCount, rate);
  const rows: string[][] = [];
  if (startFrame !== null && hasTimecode(rate)) {
    const end = frameCount === null ? '' : timecodeText(add(startFrame, frameCount), rate, isDropFrame);
    rows.push(['stamp', timecodeText(startFrame, rate, isDropFrame), end]);
  }
  if (length !== null) rows.push(['length', lengthText(length, rate), clockText(length)]);
  rows.push(['rate', rateText(rate), isDropFrame ? 'drop-frame' : '']);
  const partners = report.pairs.filter((pair) => pair.picture === picture).map((pair) => pair.sound.key);
  return page(`${key} is a picture file.`, partners, rows);
}

function pageSound(report: AlignmentReport, sound: SoundEntry): Page {
  const { key, sampleRate, startSample, sampleCount, claps } = sound;
  const length = sampleCount === null ? null : countToSeconds(sampleCount, sampleRate);
  const rows: string[][] = [];
  if (startSample !== null) {
    const start = countToSeconds(startSample, sampleRate);
    rows.push(['stamp', clockText(start), length === null ? '' : clockText(add(start, length))]);
  }
  if (length !== null) rows.push(['length', lengthText(length, sampleRate), clockText(length)]);
  rows.push(['rate', rateText(sampleRate), '']);
  for (const [index, clap] of claps.entries()) {
    rows.push([`clap ${index + 1}`, `sample ${numberText(clap)}`, clockText(countToSeconds(clap, sampleRate))]);
  }
  const partners = report.pairs.filter((pair) => pair.sound === sound).map((pair) => pair.picture.key);
  return page(`${key} is a sound recording.`, partners, rows);
}

function page(text: string, partners: readonly string[], rows: readonly (readonly string[])[]): Page {
  const detail = partners.length === 0 ? 'Nothing is paired with it.' : `Paired with ${listInWords(partners)}.`;
  return [
    { kind: 'headline', text, detail },
    { kind: 'table', columns: ['', '', ''], rows },
  ];
}

function pictureStamp({ startFrame, rate, isDropFrame }: PictureEntry, frame: Rational): string | null {
  if (startFrame === null || !hasTimecode(rate)) return null;
  return timecodeText(add(startFrame, frame), rate, isDropFrame);
}

function soundStamp({ startSample, sampleRate }: SoundEntry, sample: Rational): string | null {
  return startSample === null ? null : clockText(countToSeconds(add(startSample, sample), sampleRate));
}
