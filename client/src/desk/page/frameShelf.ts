/**
 * Decoded frames, as many as are likely to be looked at again, and one decoding at a time.
 *
 * What is wanted is told anew with each drawing; what is not wanted any more is not decoded. The frames longest unseen go first.
 */

import type { CameraFile, FramePicture } from './cameraFile.ts';

/** About 150 megabytes of pictures at the width they are kept with. */
const MOST_FRAMES = 160;

export interface FrameShelf {
  /** Undefined: not decoded yet. Null: there is no such frame. */
  readonly get: (frame: number) => FramePicture | null | undefined;
  readonly want: (frames: readonly number[]) => void;
  /** Resolves once all of these are decoded, or can't be. */
  readonly untilThere: (frames: readonly number[]) => Promise<void>;
  readonly close: () => void;
}

/** `onFrame` is called when another frame is there; `onTrouble` once, when the file turns out not to be decodable after all. */
export function createFrameShelf(camera: CameraFile, onFrame: () => void, onTrouble: () => void): FrameShelf {
  const shelf = new Map<number, FramePicture | null>();
  let wanted: readonly number[] = [];
  let isRunning = false;
  let isBroken = !camera.hasPicture;
  let waiting: (() => void)[] = [];

  const missing = (): readonly number[] => wanted.filter((frame) => !shelf.has(frame));
  const put = (frame: number, picture: FramePicture | null): void => {
    shelf.delete(frame);
    shelf.set(frame, picture);
    for (const old of shelf.keys()) {
      if (shelf.size <= MOST_FRAMES) break;
      if (!wanted.includes(old)) shelf.delete(old);
    }
    onFrame();
  };
  const run = async (): Promise<void> => {
    if (isRunning || isBroken) return;
    isRunning = true;
    try {
      for (let frames = missing(); frames.length > 0 && !isBroken; frames = missing()) {
        const round = wanted;
        await camera.decode(frames, put, () => round === wanted);
        // Whatever a decoder passed over in silence is not there; asking again would go on for ever.
        if (round === wanted) for (const frame of missing()) put(frame, null);
      }
    } catch {
      isBroken = true;
      onTrouble();
    } finally {
      isRunning = false;
      for (const done of waiting) done();
      waiting = [];
    }
  };
  const want = (frames: readonly number[]): void => {
    const sorted = [...new Set(frames.filter((frame) => frame >= 0))].sort((left, right) => left - right);
    if (sorted.length === wanted.length && sorted.every((frame, at) => frame === wanted[at])) return;
    wanted = sorted;
    void run();
  };
  return {
    get: (frame) => shelf.get(frame),
    want,
    untilThere: (frames) => {
      want(frames);
      if (isBroken || missing().length === 0) return Promise.resolve();
      return new Promise((resolve) => {
        waiting.push(resolve);
        void run();
      });
    },
    close: () => {
      isBroken = true;
      wanted = [];
      shelf.clear();
    },
  };
}
