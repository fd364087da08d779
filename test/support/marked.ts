/**
 * Texts with marks in them, so that a test shows its places instead of counting characters: `¦` is the caret, `⟦` and `⟧`
 * stand round a range. None of these characters occurs in the fixtures.
 */

import { readReport } from '../../server/src/core/alignment/readReport.ts';
import { readSettings } from '../../server/src/core/alignment/readSettings.ts';
import { type Audit, audit } from '../../server/src/core/audit.ts';
import type { Span } from '../../server/src/core/text/span.ts';
import type { FormatId } from '../../server/src/core/timeline/model.ts';

export interface MarkedText {
  readonly text: string;
  /** Offset of the caret; the start of the text where there is none. */
  readonly caret: number;
  readonly ranges: readonly Span[];
}

export function readMarks(marked: string): MarkedText {
  let text = '';
  let caret = 0;
  const starts: number[] = [];
  const ranges: Span[] = [];
  for (const character of marked) {
    if (character === '¦') caret = text.length;
    else if (character === '⟦') starts.push(text.length);
    else if (character === '⟧') ranges.push({ start: starts.pop() ?? 0, end: text.length });
    else text += character;
  }
  return { text, caret, ranges };
}

/** The text with `⟦ ⟧` round each span, and a word before the `⟧` where one is given. */
export function withMarks(text: string, spans: readonly (readonly [span: Span, word: string])[]): string {
  const marks = spans.flatMap(([{ start, end }, word]) => [
    { offset: start, order: 1, mark: '⟦' },
    { offset: end, order: start === end ? 1 : 0, mark: `${word === '' ? '' : `|${word}`}⟧` },
  ]);
  let result = '';
  let position = 0;
  for (const { offset, mark } of marks.sort((left, right) => left.offset - right.offset || left.order - right.order)) {
    result += text.slice(position, offset) + mark;
    position = offset;
  }
  return result + text.slice(position);
}

export const SMALL_REPORT = `{
  "alignment": 1,
  "pictures": { "cam-a": { "names": ["CAM_A.mov", "CAMA"], "rate": 25, "start": "10:00:00:00", "frames": 5000 } },
  "sounds": { "deck-1": { "names": ["DECK_1.wav", "DECK1"], "sampleRate": 48000, "samples": 9600000 } },
  "pairs": [ { "picture": "cam-a", "sound": "deck-1", "at": { "frame": 0, "sample": 0 } } ]
}
`;

/**
 * At 25 frames per second a frame is 40 ms and 1920 samples at 48 kHz: second event in, fourth leads by one frame, sixth
 * lags by two; the seventh is on no report.
 */
export const SMALL_EDL = `TITLE: SMALL
FCM: NON-DROP FRAME
001  CAMA     V     C        10:00:10:00 10:00:12:00 01:00:00:00 01:00:02:00
002  DECK1    A     C        00:00:10:00 00:00:12:00 01:00:00:00 01:00:02:00
003  CAMA     V     C        10:00:20:00 10:00:22:00 01:00:02:00 01:00:04:00
004  DECK1    A     C        00:00:20:01 00:00:22:01 01:00:02:00 01:00:04:00
* FROM CLIP NAME: EARLY
005  CAMA     V     C        10:00:30:00 10:00:32:00 01:00:04:00 01:00:06:00
006  DECK1    A2    C        00:00:29:23 00:00:31:23 01:00:04:00 01:00:06:00
007  OTHER    A     C        00:00:29:23 00:00:31:23 01:00:04:00 01:00:06:00
`;

/** An audit of the text under the small report, or under another one; null for none. */
export function auditMarked(format: FormatId, text: string, report: string | null = SMALL_REPORT): Audit {
  return audit({
    format,
    text,
    reports: report === null ? [] : [readReport('day1.alignment.json', report)],
    settings: readSettings('afterclap.json', '{}'),
  });
}
