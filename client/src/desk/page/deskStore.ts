/**
 * The one state of the page, and the frame that is due when it becomes another.
 */

import { type DeskState, EMPTY_STATE } from './deskState.ts';

export interface DeskStore {
  readonly get: () => DeskState;
  readonly set: (state: DeskState) => void;
  readonly update: (change: Partial<DeskState>) => void;
  readonly requestFrame: () => void;
}

/** `onFrame` shows the state, at most once for each picture of the screen. */
export function createDeskStore(onFrame: () => void): DeskStore {
  let state: DeskState = EMPTY_STATE;
  let isFrameDue = false;
  const requestFrame = (): void => {
    if (isFrameDue) return;
    isFrameDue = true;
    requestAnimationFrame(() => {
      isFrameDue = false;
      onFrame();
    });
  };
  const set = (next: DeskState): void => {
    state = next;
    requestFrame();
  };
  return { get: () => state, set, update: (change) => set({ ...state, ...change }), requestFrame };
}
