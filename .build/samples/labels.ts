/**
 * Timecode labels of the samples: 24 labels a second, no drop-frame, as SMPTE ST 12-1 counts at 24000/1001.
 *
 * Independent of the program under test, and small because the samples need one rate only.
 */

const LABELS_PER_SECOND = 24n;

/** The frame number of `hh:mm:ss:ff`, from 00:00:00:00. */
export function frameOfLabel(label: string): bigint {
  const [hours = 0n, minutes = 0n, seconds = 0n, frames = 0n] = label.split(':').map(BigInt);
  return ((hours * 60n + minutes) * 60n + seconds) * LABELS_PER_SECOND + frames;
}

export function labelOfFrame(frame: bigint): string {
  const seconds = frame / LABELS_PER_SECOND;
  return [seconds / 3600n, (seconds / 60n) % 60n, seconds % 60n, frame % LABELS_PER_SECOND]
    .map((field) => field.toString().padStart(2, '0'))
    .join(':');
}
