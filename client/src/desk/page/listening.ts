/**
 * Picture and sound together around the clap, at the offset that was chosen.
 *
 * The audio clock decides: sounds are put on it to the sample, and the frame shown is the one of that clock's time less what the machine
 * needs to sound it. What the screen adds to that is not known here; it makes pictures later, and so sounds earlier, by up to a
 * refresh or two. For judging, the numbers count.
 */

export interface Sounding {
  readonly buffer: AudioBuffer;
  /** Seconds after the start. */
  readonly at: number;
  readonly gain: number;
}

export interface Listening {
  /** Plays from the start; `onFrame` is told the seconds since then, with each picture of the screen, and null at the end. */
  readonly play: (sounds: readonly Sounding[], seconds: number, onTime: (seconds: number | null) => void) => Promise<void>;
  readonly stop: () => void;
  readonly bufferOf: (samples: Float32Array, sampleRate: number) => AudioBuffer;
}

/** Time to get everything ready before the first sample is due. */
const HEAD_START_SECONDS = 0.12;
/** Against clicks where an excerpt begins and ends. */
const FADE_SECONDS = 0.01;

export function createListening(): Listening {
  let context: AudioContext | null = null;
  let running: { readonly sources: readonly AudioBufferSourceNode[]; readonly end: () => void } | null = null;

  const contextNow = (): AudioContext => {
    context ??= new AudioContext({ latencyHint: 'interactive' });
    return context;
  };
  const stop = (): void => {
    const known = running;
    running = null;
    for (const source of known?.sources ?? []) {
      try {
        source.stop();
      } catch {
        // One that was never started can't be stopped.
      }
    }
    known?.end();
  };
  return {
    stop,
    bufferOf: (samples, sampleRate) => {
      const buffer = contextNow().createBuffer(1, Math.max(1, samples.length), sampleRate);
      buffer.getChannelData(0).set(samples);
      return buffer;
    },
    play: async (sounds, seconds, onTime) => {
      stop();
      const audio = contextNow();
      await audio.resume();
      const start = audio.currentTime + HEAD_START_SECONDS;
      const out = audio.createGain();
      out.gain.setValueAtTime(0, start);
      out.gain.linearRampToValueAtTime(1, start + FADE_SECONDS);
      out.gain.setValueAtTime(1, start + seconds - FADE_SECONDS);
      out.gain.linearRampToValueAtTime(0, start + seconds);
      out.connect(audio.destination);
      const sources = sounds.flatMap(({ buffer, at, gain }) => {
        const skipped = Math.max(0, -at);
        if (at >= seconds || skipped >= buffer.duration) return [];
        const source = audio.createBufferSource();
        const level = audio.createGain();
        level.gain.value = gain;
        source.buffer = buffer;
        source.connect(level).connect(out);
        source.start(start + Math.max(0, at), skipped);
        return [source];
      });
      let isOver = false;
      const end = (): void => {
        if (isOver) return;
        isOver = true;
        out.disconnect();
        onTime(null);
      };
      running = { sources, end };
      const mine = running;
      const tick = (): void => {
        if (isOver || running !== mine) return;
        const now = audio.currentTime - start - (audio.outputLatency || 0);
        if (now >= seconds) {
          stop();
          return;
        }
        onTime(Math.max(0, now));
        requestAnimationFrame(tick);
      };
      requestAnimationFrame(tick);
    },
  };
}
