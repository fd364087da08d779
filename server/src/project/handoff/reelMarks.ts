/**
 * The marks of a reel: those of its recording, moved to where they are heard now, and the clap by which the two were laid together.
 */

import type { PlannedReel } from '../../core/handoff/reelPlan.ts';
import { countToSeconds } from '../../core/time/rate.ts';
import { divide, multiply, rational, round, subtract } from '../../core/time/rational.ts';
import type { SyncPoint } from '../../sound/wave/ixml.ts';
import type { WaveHeader } from '../../sound/wave/waveHeader.ts';
import type { TimedPiece } from './reelPieces.ts';

/** Only for the reel of one camera file; a cut shows its recordings in pieces. In order of the samples. */
export function reelMarks(reel: PlannedReel, piece: TimedPiece, header: WaveHeader): readonly SyncPoint[] {
  const { pair } = piece.planned;
  const stamp = header.broadcast?.timeReference ?? header.ixml?.timestamp ?? 0;
  const moved = (header.ixml?.syncPoints ?? []).flatMap((point): readonly SyncPoint[] => {
    // Samples kept from before the start say nothing about any place in a reel.
    if (point.function === 'PRE_RECORD_SAMPLECOUNT') return [];
    const inRecording = point.isAbsolute ? point.sample - stamp : point.sample;
    const sample = Number(round(divide(subtract(rational(inRecording), piece.from), piece.step)));
    return [{ ...point, isAbsolute: false, sample }];
  });
  const clapFrame = pair.by === 'clap' ? Number(round(multiply(countToSeconds(pair.frame, reel.rate), reel.sampleRate))) : null;
  const clap: readonly SyncPoint[] =
    clapFrame === null
      ? []
      : [
          {
            function: 'SLATE_GENERIC',
            isAbsolute: false,
            sample: clapFrame,
            comment: pair.clap === null ? 'clap' : `clap ${pair.clap}`,
          },
        ];
  return [...moved, ...clap]
    .filter(({ sample }) => sample >= 0 && sample < reel.sampleCount)
    .sort((left, right) => left.sample - right.sample);
}
