/**
 * The lines below an event that belong to it: comments, M2, AUD. Kept as line numbers; text is cut out only when needed.
 */

import { type EdlTape, LINE, LINE_ROW } from '../../syntax/edl/edlTape.ts';

/** Line numbers, -1 where there is no such line. Of repeated comments the first counts. */
export interface Attachments {
  fromClipName: number;
  toClipName: number;
  keyClipName: number;
  fromClip: number;
  toClip: number;
  fromFile: number;
  toFile: number;
  sourceFile: number;
  /** A second SOURCE FILE, which names the incoming side of a dissolve. */
  secondSourceFile: number;
  reelFile: number;
  fullReel: number;
  effectName: number;
  freezeFrame: number;
  motions: number[] | null;
  addedSound: number[] | null;
  acceptances: number[] | null;
  /** Offset where the last attached line ends; that of the event line when there is none. */
  end: number;
}

/** Fills `into`, which may be used again, with what belongs to the event on line `eventLine`. A broken event takes the lines below it with it. */
export function gatherAttachments(tape: EdlTape, eventLine: number, into: Attachments): void {
  const { lines, lineCount } = tape;
  clear(into, lines[eventLine * LINE_ROW.size + LINE_ROW.end] as number);
  for (let line = eventLine + 1; line < lineCount; line += 1) {
    const row = line * LINE_ROW.size;
    switch (lines[row + LINE_ROW.kind]) {
      case LINE.event:
      case LINE.brokenEvent:
        return;
      case LINE.title:
      case LINE.frameCodeMode:
      case LINE.split:
      case LINE.control:
      case LINE.header:
        continue;
      case LINE.fromClipName:
        if (into.fromClipName < 0) into.fromClipName = line;
        break;
      case LINE.toClipName:
        if (into.toClipName < 0) into.toClipName = line;
        break;
      case LINE.keyClipName:
        if (into.keyClipName < 0) into.keyClipName = line;
        break;
      case LINE.fromClip:
        if (into.fromClip < 0) into.fromClip = line;
        break;
      case LINE.toClip:
        if (into.toClip < 0) into.toClip = line;
        break;
      case LINE.fromFile:
        if (into.fromFile < 0) into.fromFile = line;
        break;
      case LINE.toFile:
        if (into.toFile < 0) into.toFile = line;
        break;
      case LINE.sourceFile:
        if (into.sourceFile < 0) into.sourceFile = line;
        else if (into.secondSourceFile < 0) into.secondSourceFile = line;
        break;
      case LINE.reelFile:
        if (into.reelFile < 0) into.reelFile = line;
        break;
      case LINE.fullReel:
        if (into.fullReel < 0) into.fullReel = line;
        break;
      case LINE.effectName:
        if (into.effectName < 0) into.effectName = line;
        break;
      case LINE.freezeFrame:
        if (into.freezeFrame < 0) into.freezeFrame = line;
        break;
      case LINE.motion:
        if (into.motions === null) into.motions = [line];
        else into.motions.push(line);
        break;
      case LINE.addedSound:
        if (into.addedSound === null) into.addedSound = [line];
        else into.addedSound.push(line);
        break;
      case LINE.acceptance:
        if (into.acceptances === null) into.acceptances = [line];
        else into.acceptances.push(line);
        break;
      default:
        break;
    }
    into.end = lines[row + LINE_ROW.end] as number;
  }
}

/** True when some line tells which media the event uses. */
export function namesMedia(attachments: Attachments): boolean {
  return attachments.fromClipName >= 0 || attachments.fromClip >= 0 || attachments.fromFile >= 0 || attachments.sourceFile >= 0;
}

export function emptyAttachments(): Attachments {
  return {
    fromClipName: -1,
    toClipName: -1,
    keyClipName: -1,
    fromClip: -1,
    toClip: -1,
    fromFile: -1,
    toFile: -1,
    sourceFile: -1,
    secondSourceFile: -1,
    reelFile: -1,
    fullReel: -1,
    effectName: -1,
    freezeFrame: -1,
    motions: null,
    addedSound: null,
    acceptances: null,
    end: 0,
  };
}

function clear(attachments: Attachments, end: number): void {
  attachments.fromClipName = -1;
  attachments.toClipName = -1;
  attachments.keyClipName = -1;
  attachments.fromClip = -1;
  attachments.toClip = -1;
  attachments.fromFile = -1;
  attachments.toFile = -1;
  attachments.sourceFile = -1;
  attachments.secondSourceFile = -1;
  attachments.reelFile = -1;
  attachments.fullReel = -1;
  attachments.effectName = -1;
  attachments.freezeFrame = -1;
  attachments.motions = null;
  attachments.addedSound = null;
  attachments.acceptances = null;
  attachments.end = end;
}
