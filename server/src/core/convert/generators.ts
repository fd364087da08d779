/**
 * Media without a file: black, colour bars and the like, and which of them a clip shows.
 */

import { EdlMedia } from '../formats/edl/edlClip.ts';
import type { Clip } from '../timeline/model.ts';

export type GeneratorKind = 'black' | 'bars' | 'other';

const BLACK = /^(?:bl|black)$/i;
const BARS = /^(?:bars|smptebars)$/i;

/** `name` is what the source calls it. */
export function generatorOf(clip: Clip): { readonly kind: GeneratorKind; readonly name: string } {
  const { media } = clip;
  // The reel column of an edit list says it, whatever the clip is called.
  const name = media instanceof EdlMedia ? media.writtenReel : (media.name ?? clip.name);
  return { kind: BLACK.test(name) ? 'black' : BARS.test(name) ? 'bars' : 'other', name };
}
