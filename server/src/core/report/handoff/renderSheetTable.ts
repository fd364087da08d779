/**
 * The sync sheet as a table: one line for each clip and each picture its sound was compared with.
 */

import type { SheetClip, SheetLag } from '../../handoff/sheetClips.ts';
import type { SyncSheet } from '../../handoff/syncSheet.ts';
import { absolute, multiply, type Rational, rational, sign, toNumber } from '../../time/rational.ts';
import { type CsvCell, csvTable } from './csvTable.ts';

const HEADER = [
  'timeline',
  'clip',
  'track',
  'kind',
  'name',
  'enabled',
  'record in',
  'record out',
  'record in seconds',
  'record out seconds',
  'source in',
  'source out',
  'media',
  'reel',
  'report entry',
  'place in file',
  'scene',
  'take',
  'roll',
  'against picture',
  'verdict',
  'lag',
  'head side',
  'head ms',
  'tail side',
  'tail ms',
  'uncertain early ms',
  'uncertain late ms',
  'not compared because',
  'open findings',
  'accepted',
  'accepted because',
];

export function renderSheetTable(sheet: SyncSheet): string {
  const rows = sheet.clips.flatMap((clip) =>
    clip.lags.length === 0 ? [rowOf(sheet.path, clip, null)] : clip.lags.map((lag) => rowOf(sheet.path, clip, lag)),
  );
  return csvTable(HEADER, rows);
}

function rowOf(path: string, clip: SheetClip, lag: SheetLag | null): readonly CsvCell[] {
  return [
    path,
    clip.number,
    clip.track,
    clip.role,
    clip.name,
    clip.isEnabled ? 'yes' : 'no',
    clip.recordIn,
    clip.recordOut,
    seconds(clip.record.start),
    seconds(clip.record.end),
    clip.sourceIn,
    clip.sourceOut,
    clip.media,
    clip.reel,
    clip.entry,
    clip.inFile,
    clip.scene,
    clip.take,
    clip.roll,
    lag?.against ?? '',
    lag?.verdict ?? '',
    lag?.words ?? '',
    ...(lag === null ? ['', '', '', ''] : [sideOf(lag.head), milliseconds(lag.head), sideOf(lag.tail), milliseconds(lag.tail)]),
    lag === null ? '' : milliseconds(lag.uncertaintyEarly),
    lag === null ? '' : milliseconds(lag.uncertaintyLate),
    clip.unchecked ?? '',
    clip.open.join('; '),
    clip.accepted.map(({ code }) => code).join('; '),
    clip.accepted.map(({ reason }) => reason).join('; '),
  ];
}

function sideOf(lag: Rational): string {
  return sign(lag) === 0 ? 'exact' : sign(lag) < 0 ? 'leads' : 'lags';
}

/** The size alone: its side stands in words beside it. */
function milliseconds(value: Rational): string {
  return toNumber(multiply(absolute(value), rational(1000))).toFixed(3);
}

function seconds(value: Rational): string {
  return toNumber(value).toFixed(6);
}
