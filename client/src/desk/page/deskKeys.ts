/**
 * Which key does what while the desk has the focus. Listed once: the page shows this very list.
 */

export type DeskAction =
  | { readonly kind: 'frame'; readonly frames: number }
  | { readonly kind: 'second'; readonly seconds: 1 | -1 }
  | { readonly kind: 'nudge'; readonly tenths: number }
  | { readonly kind: 'edge'; readonly samples: number }
  | { readonly kind: 'clap'; readonly step: 1 | -1 }
  | { readonly kind: 'zoom'; readonly factor: number }
  | { readonly kind: 'scroll'; readonly share: number }
  | { readonly kind: 'fit' | 'whole' | 'play' | 'type' | 'reset' | 'write' | 'stop' | 'edge-here' };

/** In the words of the page. */
export const KEY_LIST: readonly (readonly [keys: string, what: string])[] = [
  ['← →', 'pick the frame before or after'],
  [', .', 'pick the frame a second before or after'],
  ['Shift+← →', 'the sound a tenth of a frame earlier or later'],
  ['↑ ↓', 'the edge one sample later or earlier in the recording; with Shift, ten'],
  ['N, P', 'the next or previous clap'],
  ['E', 'put the edge in the middle of what is seen'],
  ['Space', 'play picture and sound around the clap, or stop'],
  ['F', 'type a frame number or timecode'],
  ['Enter', 'write the pair into the report'],
  ['R', 'back to what the report says'],
  ['+ −', 'show less or more of the recording'],
  ['Page Up, Page Down', 'earlier or later in the recording'],
  ['0', 'around the clap; with Shift, the whole recording'],
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
export function deskAction({ key, code, shiftKey, altKey, ctrlKey, metaKey }: PressedKey): DeskAction | null {
  if (ctrlKey || metaKey || altKey) return null;
  // By its place on the keyboard, since Shift makes another character of it in every language.
  if (code === 'Digit0' || code === 'Numpad0') return { kind: shiftKey ? 'whole' : 'fit' };
  switch (key) {
    case 'ArrowLeft':
      return shiftKey ? { kind: 'nudge', tenths: -1 } : { kind: 'frame', frames: -1 };
    case 'ArrowRight':
      return shiftKey ? { kind: 'nudge', tenths: 1 } : { kind: 'frame', frames: 1 };
    case 'ArrowUp':
      return { kind: 'edge', samples: shiftKey ? 10 : 1 };
    case 'ArrowDown':
      return { kind: 'edge', samples: shiftKey ? -10 : -1 };
    case ',':
      return { kind: 'second', seconds: -1 };
    case '.':
      return { kind: 'second', seconds: 1 };
    case 'PageUp':
      return { kind: 'scroll', share: -0.5 };
    case 'PageDown':
      return { kind: 'scroll', share: 0.5 };
    case '+':
    case '=':
      return { kind: 'zoom', factor: 1 / 1.5 };
    case '-':
      return { kind: 'zoom', factor: 1.5 };
    case ' ':
      return { kind: 'play' };
    case 'Escape':
      return { kind: 'stop' };
    case 'Enter':
      return { kind: 'write' };
  }
  switch (key.toLowerCase()) {
    case 'n':
      return { kind: 'clap', step: 1 };
    case 'p':
      return { kind: 'clap', step: -1 };
    case 'e':
      return { kind: 'edge-here' };
    case 'f':
      return { kind: 'type' };
    case 'r':
      return { kind: 'reset' };
  }
  return null;
}
