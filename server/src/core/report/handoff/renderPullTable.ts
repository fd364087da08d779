/**
 * The pull list as a table: one line for each range of each recording.
 */

import type { PulledRange, PulledRecording } from '../../handoff/pullList.ts';
import { pullWords } from '../../handoff/pullWords.ts';
import { amountOfTime } from '../../text/words.ts';
import { type CsvCell, csvTable } from './csvTable.ts';

const HEADER = [
  'recording',
  'report entry',
  'file',
  'size bytes',
  'sample rate Hz',
  'bits',
  'channels',
  'track names',
  'scene',
  'take',
  'roll',
  'start stamp samples',
  'length',
  'range in sample',
  'range out sample',
  'range in',
  'range out',
  'range length',
  'used in sample',
  'used out sample',
  'handle short at head',
  'handle short at tail',
  'used by',
  'remarks',
];

export function renderPullTable(recordings: readonly PulledRecording[]): string {
  return csvTable(
    HEADER,
    recordings.flatMap((recording) =>
      recording.ranges.length === 0 ? [rowOf(recording, null)] : recording.ranges.map((range) => rowOf(recording, range)),
    ),
  );
}

function rowOf(recording: PulledRecording, range: PulledRange | null): readonly CsvCell[] {
  const facts = recording.found?.kind === 'found' ? recording.found.facts : null;
  const words = pullWords(recording);
  const cells = range === null ? null : words.range(range);
  return [
    recording.name,
    (recording.sound ?? recording.camera)?.key ?? '',
    facts?.path ?? '',
    facts?.sizeBytes ?? '',
    words.sampleRate,
    facts === null ? '' : `${facts.bits}${facts.isFloat ? ' float' : ''}`,
    facts?.channelCount ?? '',
    facts?.trackNames.filter((name) => name !== '').join('; ') ?? '',
    facts?.scene ?? '',
    facts?.take ?? '',
    facts?.roll ?? '',
    words.startStamp,
    words.length,
    cells?.inSample ?? '',
    cells?.outSample ?? '',
    cells?.inClock ?? '',
    cells?.outClock ?? '',
    cells?.length ?? '',
    cells?.usedInSample ?? '',
    cells?.usedOutSample ?? '',
    range === null || !cells?.isShortAtHead ? '' : amountOfTime(range.missingHead),
    range === null || !cells?.isShortAtTail ? '' : amountOfTime(range.missingTail),
    cells === null ? '' : cells.usedBy.map(({ timeline, places }) => `${places.join(', ')} in ${timeline}`).join('; '),
    [...(recording.found?.kind === 'absent' ? [`It ${recording.found.reason}.`] : []), ...recording.remarks].join(' '),
  ];
}
