/**
 * no-sound: the picture of a reported camera plays with none of its recorded sound under it.
 *
 * Off by default: cutaways and montages live without their sound. Turned on for dialogue reels before a mix.
 */

import { pairsOfPicture } from '../alignment/lookup.ts';
import { listInWords } from '../text/words.ts';
import type { AuditContext } from './context.ts';
import { draft, type FindingDraft, type Rule } from './rule.ts';

export const noSound: Rule = {
  code: 'no-sound',
  defaultSeverity: 'off',
  documentation: {
    title: 'No recorded sound under the picture',
    what: 'An enabled picture clip of a camera in the report has no enabled sound clip of its pair anywhere under it.',
    why: 'Before a mix, missing production sound is looked for by hand. In a montage it is meant, which is why the rule is off by default.',
    whatToDo:
      'Cut in the recording the report names, or accept the finding where the picture is meant to be silent or under other sound.',
    sources: ['common practice'],
  },
  check: noSoundFindings,
};

function* noSoundFindings(context: AuditContext): Generator<FindingDraft> {
  const covered = new Set<number>();
  for (const overlap of context.overlaps) covered.add(overlap.picture.clip.index);
  for (const { clip, picture } of context.clips) {
    if (clip.role !== 'picture' || !clip.isEnabled || clip.doubt !== null || picture === null || covered.has(clip.index))
      continue;
    const pairs = pairsOfPicture(context.alignment, picture);
    if (pairs.length === 0) continue;
    yield draft({
      message: `Picture ${picture.key} has none of its recorded sound under it. The report pairs it with ${listInWords(pairs.map((pair) => pair.sound.key))}. Cut that in, or accept this where the picture is meant to play without.`,
      place: { file: null, span: clip.nameSpan ?? clip.start?.span ?? clip.span },
      related: pairs.map((pair) => ({ file: pair.file, span: pair.span, message: `the pair with ${pair.sound.key}` })),
      picture: picture.key,
      clips: [clip.index],
    });
  }
}
