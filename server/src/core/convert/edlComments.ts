/**
 * The comment lines below an event: names and files, as lists have them (common practice).
 */

import { fileNameOf } from '../formats/xml/readMedia.ts';
import type { Clip } from '../timeline/model.ts';
import type { EdlPiece } from './edlPieces.ts';
import type { EdlReel } from './edlReels.ts';
import type { LossLog } from './loss.ts';
import { clipLoss, others } from './tell.ts';

export function edlComments(piece: EdlPiece, reel: EdlReel, log: LossLog): readonly string[] {
  const { clip, passage } = piece;
  const lines: string[] = [];
  if (passage === null) {
    if (clip !== null) lines.push(...ownLines(clip, log));
  } else {
    const outgoing = passage.outgoing?.clip ?? null;
    if (outgoing !== null) lines.push(...sideLines('FROM', outgoing));
    if (clip !== null) lines.push(...sideLines('TO', clip));
    if (clip !== null) tellNames(clip, log);
    const { name } = passage.transition;
    if (!/^(?:dissolve|wipe(?:\s*\d{1,3})?)?$/i.test(name)) lines.push(`* EFFECT NAME IS ${edlLine(name)}`);
  }
  if (reel.full !== null) lines.push(`* OTIO TRUNCATED REEL NAME FROM: ${edlLine(reel.full)}`);
  return lines;
}

/** Text on one line, without control characters or blanks at its ends. */
export function edlLine(text: string): string {
  return text.replace(/[\s\p{Cc}]+/gu, ' ').trim();
}

function ownLines(clip: Clip, log: LossLog): readonly string[] {
  const { url } = clip.media;
  tellNames(clip, log);
  const lines = clip.name === '' ? [] : [`* FROM CLIP NAME: ${edlLine(clip.name)}`];
  // A bare name is the file's, anything longer says where it is.
  if (url !== null) lines.push(/[/\\]/.test(url) ? `* FROM FILE: ${edlLine(url)}` : `* SOURCE FILE: ${edlLine(url)}`);
  return lines;
}

function sideLines(side: 'FROM' | 'TO', clip: Clip): readonly string[] {
  const lines = clip.name === '' ? [] : [`* ${side} CLIP NAME: ${edlLine(clip.name)}`];
  if (clip.media.url !== null) lines.push(`* ${side} FILE: ${edlLine(clip.media.url)}`);
  return lines;
}

function tellNames(clip: Clip, log: LossLog): void {
  const { media } = clip;
  const alike = (key: string, message: (count: number) => string): void =>
    log.tellAlike(
      `${key} ${clip.track}`,
      { kind: 'name', clip: clip.index, track: clip.track, span: clip.nameSpan ?? clip.span },
      message,
    );
  if (clip.name === '') alike('no-name', (count) => `It has no name. A list then calls it by its reel column${others(count)}.`);
  if ([clip.name, media.url ?? '', media.reel ?? ''].some((text) => edlLine(text) !== text)) {
    log.tell(
      clipLoss(
        'name',
        clip,
        'Its name, file or reel holds line breaks, runs of blanks or control characters; they are written as single blanks.',
        clip.nameSpan,
      ),
    );
  }
  if (/[^\x20-\x7e]/.test(`${clip.name}${media.url ?? ''}${media.reel ?? ''}`)) {
    alike(
      'characters',
      (count) =>
        `Its name or file holds characters beyond ASCII. They are written as UTF-8, which not every reader of lists takes${others(count)}.`,
    );
  }
  const { name } = media;
  // A name that repeats the clip's or the file's is not lost.
  const isSaid = name === null || name === '' || name === clip.name || name === fileNameOf(media.url);
  if (!isSaid && media.kind !== 'generator') {
    log.tellAlike(
      `media-name ${media.url ?? ''} ${name}`,
      { kind: 'media', clip: clip.index, track: clip.track, span: media.nameSpan ?? clip.span },
      (count) =>
        `The name of its media, '${name}', has no place beside the name of the clip, which is written${count === 1 ? '' : ` (so with ${count - 1} more ${count === 2 ? 'clip' : 'clips'} of it)`}.`,
    );
  }
  if (media.kind === 'missing') {
    log.tell(clipLoss('media', clip, 'Its media is missing, and a list cannot say so.', media.nameSpan));
  }
  if (media.kind === 'sequence') {
    log.tell(
      clipLoss('media', clip, 'Its media is a sequence of images. A list names the first image as its file.', media.urlSpan),
    );
  }
}
