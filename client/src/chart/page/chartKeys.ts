/**
 * Which key does what while the chart has the focus. Listed once: the page shows this very list.
 */

import type { Action } from './viewActions.ts';

export type KeyAction =
  | { readonly kind: 'action'; readonly action: Action }
  | { readonly kind: 'move'; readonly to: 'next' | 'previous' | 'next-out' | 'previous-out' | 'first' | 'last' | 'up' | 'down' }
  | { readonly kind: 'reveal'; readonly role: 'sound' | 'picture' }
  | { readonly kind: 'leave' };

/** In the words of the page. */
export const KEY_LIST: readonly (readonly [keys: string, what: string])[] = [
  ['← →', 'the comparison before or after'],
  ['Page Up, Page Down', 'the one before or after that is out'],
  ['↑ ↓', 'the one that lags or leads more at the same time'],
  ['Home, End', 'the first or last comparison'],
  ['Enter', 'show the text of the sound clip; with Shift, of the picture clip'],
  ['+ −', 'show less or more record time'],
  ['Alt+↑ ↓', 'show smaller or larger lags'],
  ['Shift+arrows', 'move what is seen'],
  ['0', 'fit; with Shift, every lag in scale'],
  ['T', 'open or close the table'],
  ['Escape', 'choose nothing'],
];

interface PressedKey {
  readonly key: string;
  readonly code: string;
  readonly shiftKey: boolean;
  readonly altKey: boolean;
  readonly ctrlKey: boolean;
  readonly metaKey: boolean;
}

/** Null for keys that are the editor's or the browser's business. */
export function keyAction({ key, code, shiftKey, altKey, ctrlKey, metaKey }: PressedKey): KeyAction | null {
  if (ctrlKey || metaKey) return null;
  if (altKey) {
    if (key === 'ArrowUp') return { kind: 'action', action: 'zoom-lag-in' };
    return key === 'ArrowDown' ? { kind: 'action', action: 'zoom-lag-out' } : null;
  }
  // By its place on the keyboard, since Shift makes another character of it in every language.
  if (code === 'Digit0' || code === 'Numpad0') return { kind: 'action', action: shiftKey ? 'whole' : 'fit' };
  if (shiftKey && key in PANS) return { kind: 'action', action: PANS[key] as Action };
  if (key === 'Enter') return { kind: 'reveal', role: shiftKey ? 'picture' : 'sound' };
  return KEYS[key] ?? null;
}

const PANS: Readonly<Record<string, Action>> = {
  ArrowLeft: 'earlier',
  ArrowRight: 'later',
  ArrowUp: 'pan-up',
  ArrowDown: 'pan-down',
};

const KEYS: Readonly<Record<string, KeyAction>> = {
  ArrowRight: { kind: 'move', to: 'next' },
  ArrowLeft: { kind: 'move', to: 'previous' },
  PageDown: { kind: 'move', to: 'next-out' },
  PageUp: { kind: 'move', to: 'previous-out' },
  ArrowUp: { kind: 'move', to: 'up' },
  ArrowDown: { kind: 'move', to: 'down' },
  Home: { kind: 'move', to: 'first' },
  End: { kind: 'move', to: 'last' },
  '+': { kind: 'action', action: 'zoom-in' },
  '=': { kind: 'action', action: 'zoom-in' },
  '-': { kind: 'action', action: 'zoom-out' },
  t: { kind: 'action', action: 'table' },
  T: { kind: 'action', action: 'table' },
  Escape: { kind: 'leave' },
};
