/**
 * outside-media: a clip asks for media before its file's first frame or sample, or after the last.
 */

import { originOf } from '../alignment/origin.ts';
import { amountInFrames, amountInSamples, amountOfTime } from '../text/words.ts';
import { compare, maximum, negate, sign, subtract, ZERO } from '../time/rational.ts';
import type { AuditContext, ResolvedClip } from './context.ts';
import { mediaRange } from './mediaRange.ts';
import { draft, type FindingDraft, type Rule } from './rule.ts';

export const outsideMedia: Rule = {
  code: 'outside-media',
  defaultSeverity: 'error',
  documentation: {
    title: 'More than the file holds',
    what: 'A clip, with what its transitions need, starts before the first frame or sample of its file or ends after the last. The length of the file comes from the report, else from the timeline.',
    why: 'There is nothing to see or hear there. Many seconds outside usually mean that source time is counted from another origin: a time stamp read at the wrong rate, or left out.',
    whatToDo: 'Check the start stamp and length of the file in the report against the file, and the clip against the cut.',
    sources: [
      'source range inside available range is not required by the format, but without media nothing plays: OTIO core specification',
    ],
  },
  check: outsideFindings,
};

function* outsideFindings(context: AuditContext): Generator<FindingDraft> {
  for (const resolved of context.clips) {
    if (!resolved.clip.isEnabled || !mayHaveFile(resolved)) continue;
    const range = mediaRange(resolved);
    if (range === null) continue;
    const early = maximum(ZERO, negate(range.start));
    const late = range.fileEnd === null ? ZERO : maximum(ZERO, subtract(range.end, range.fileEnd));
    if (sign(early) === 0 && sign(late) === 0) continue;
    yield outsideFinding(context, resolved, early, late);
  }
}

function outsideFinding(
  context: AuditContext,
  resolved: ResolvedClip,
  early: ReturnType<typeof negate>,
  late: ReturnType<typeof negate>,
): FindingDraft {
  const { clip, picture, sound } = resolved;
  const origin = originOf(clip, resolved.match);
  const entry = picture ?? sound;
  const isEarly = compare(early, late) >= 0;
  const amount = isEarly ? early : late;
  const counted =
    sound === null ? amountInFrames(amount, picture?.rate ?? context.timeline.rate) : amountInSamples(amount, sound.sampleRate);
  const where = isEarly
    ? `before the first ${sound === null ? 'frame' : 'sample'}`
    : `after the last ${sound === null ? 'frame' : 'sample'}`;
  const hint = origin.hint === null ? '' : ` ${capitalised(origin.hint)}.`;
  return draft({
    message: `'${clip.name}' asks for media ${where} of its file, by ${amountOfTime(amount)} (${counted}). How its source time was read: ${origin.reason}.${hint} Check the file's stamp and length in the report, and the clip against the cut.`,
    place: { file: null, span: clip.start?.span ?? clip.nameSpan ?? clip.span },
    related: entry === null ? [] : [{ file: entry.file, span: entry.keySpan, message: `what the report says of ${entry.key}` }],
    picture: picture?.key ?? null,
    sound: sound?.key ?? null,
    clips: [clip.index],
  });
}

function mayHaveFile({ clip }: ResolvedClip): boolean {
  return clip.doubt === null && (clip.media.kind === 'file' || clip.media.kind === 'sequence' || clip.media.kind === 'missing');
}

function capitalised(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
