/**
 * Opens a recording for a hand-off: its header, and what a person wants to know of it.
 */

import type { RecordingFacts } from '../../core/handoff/recordingFacts.ts';
import type { ReelRecording } from '../../sound/reel/reel.ts';
import { readWaveHeader } from '../../sound/wave/readWaveHeader.ts';
import type { WaveHeader } from '../../sound/wave/waveHeader.ts';
import type { MediaPort } from '../measure/mediaPort.ts';

export type RecordingOpening =
  | {
      readonly ok: true;
      readonly recording: ReelRecording;
      readonly facts: RecordingFacts;
      readonly remarks: readonly string[];
      readonly close: () => Promise<void>;
    }
  /** Why not, as the rest of a sentence that begins with the path. */
  | { readonly ok: false; readonly reason: string };

/** The file stays open until `close`. */
export async function openRecording(openBytes: MediaPort['openBytes'], path: string): Promise<RecordingOpening> {
  const opened = await openBytes(path);
  if (!opened.ok) return opened;
  try {
    const { header, problems } = await readWaveHeader(opened.value);
    const refusal = problems.find(({ severity }) => severity === 'error');
    if (header === null || refusal !== undefined) {
      await opened.close();
      return { ok: false, reason: `can't be used: ${refusal?.message ?? 'no sound can be read from it'}`.replace(/\.$/, '') };
    }
    return {
      ok: true,
      recording: { bytes: opened.value, header },
      facts: factsOf(path, opened.value.size, header),
      remarks: problems.filter(({ severity }) => severity === 'warning').map(({ message }) => message),
      close: opened.close,
    };
  } catch (error) {
    await opened.close();
    return { ok: false, reason: `could not be read (${error instanceof Error ? error.message : String(error)})` };
  }
}

function factsOf(path: string, sizeBytes: number, header: WaveHeader): RecordingFacts {
  const { broadcast, ixml, format } = header;
  return {
    path,
    sizeBytes,
    sampleRate: header.sampleRate,
    sampleCount: header.sampleCount,
    channelCount: header.channelCount,
    bits: format.validBits,
    isFloat: format.encoding === 'float',
    startSample: broadcast?.timeReference ?? ixml?.timestamp ?? null,
    scene: ixml?.scene ?? null,
    take: ixml?.take ?? null,
    roll: ixml?.tape ?? null,
    trackNames: ixml?.trackNames ?? [],
  };
}
