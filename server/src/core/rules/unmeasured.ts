/**
 * unmeasured: picture and sound cut together, and the report has no pair for them, so nothing could be compared.
 *
 * Said so that silence never passes for 'in sync'. A camera's own sound is not meant: it needs no measuring.
 */

import { isUnread, pairFor, pairsOfPicture, pairsOfSound } from '../alignment/lookup.ts';
import type { AuditContext, ResolvedClip } from './context.ts';
import { LARGEST_OVERLAP_COUNT } from './pairedOverlaps.ts';
import { draft, type FindingDraft, type Rule } from './rule.ts';

export const unmeasured: Rule = {
  code: 'unmeasured',
  defaultSeverity: 'information',
  documentation: {
    title: 'Not in the report',
    what: 'A picture and a sound clip are cut with the same in and out points, but the report has no pair for them, or there is no report. Their lag is not known.',
    why: 'Nothing was checked here. Silence would look like a good result.',
    whatToDo:
      'Measure the pair and add it to the report. Music and effects that only happen to share the cut can be accepted, or the rule turned off.',
    sources: ['common practice'],
  },
  check: unmeasuredFindings,
};

function* unmeasuredFindings(context: AuditContext): Generator<FindingDraft> {
  if (context.reports.every(isUnread)) {
    const count = context.timeline.clips.filter((clip) => clip.role === 'sound' && clip.isEnabled).length;
    if (count === 0) return;
    const [why, advice] =
      context.reports.length === 0
        ? [
            'There is no alignment report for this timeline',
            'Put a report (*.alignment.json) beside it, or name one in afterclap.json.',
          ]
        : ['Nothing can be read of the alignment report', 'Put the report right first.'];
    const what = count === 1 ? 'the one sound clip here was not' : `none of the ${count} sound clips here was`;
    yield draft({
      message: `${why}, so ${what} compared with its picture. ${advice}`,
      place: { file: null, span: { start: 0, end: Math.min(1, context.text.length) } },
    });
    return;
  }
  if (context.overlaps.length >= LARGEST_OVERLAP_COUNT) {
    yield draft({
      message: `More than ${LARGEST_OVERLAP_COUNT} overlaps of picture and sound of one pair stand in this timeline; only the first ${LARGEST_OVERLAP_COUNT} were compared. Likely cause: the same clips are stacked many times over. Check it in parts.`,
      place: { file: null, span: { start: 0, end: Math.min(1, context.text.length) } },
      severity: 'warning',
    });
  }
  for (const { picture, sound } of context.cutAlike()) {
    if (isOwnSound(picture, sound) || isInReport(context, picture, sound)) continue;
    const names = { picture: shownName(picture), sound: shownName(sound) };
    yield draft({
      message: `No lag can be told for ${names.sound} under ${names.picture}: ${whyNot(picture, sound, names)}. Measure the pair and add it to the report, or accept this if the sound was not recorded with the picture.`,
      place: {
        file: null,
        span: sound.clip.media.urlSpan ?? sound.clip.media.nameSpan ?? sound.clip.nameSpan ?? sound.clip.span,
      },
      related: [
        {
          file: null,
          span: picture.clip.media.urlSpan ?? picture.clip.nameSpan ?? picture.clip.span,
          message: `the picture: ${names.picture}`,
        },
      ],
      picture: picture.picture?.key ?? null,
      sound: sound.sound?.key ?? null,
      clips: [sound.clip.index, picture.clip.index],
    });
  }
}

/** True for pairs of the report, and for the two entries that wrong-recording speaks about. */
function isInReport({ alignment }: AuditContext, picture: ResolvedClip, sound: ResolvedClip): boolean {
  if (picture.picture === null || sound.sound === null) return false;
  if (pairFor(alignment, picture.picture, sound.sound) !== null) return true;
  return pairsOfPicture(alignment, picture.picture).length > 0 && pairsOfSound(alignment, sound.sound).length > 0;
}

function isOwnSound(picture: ResolvedClip, sound: ResolvedClip): boolean {
  if (sound.picture !== null) return true;
  return picture.clip.media.url !== null && picture.clip.media.url === sound.clip.media.url;
}

function whyNot(picture: ResolvedClip, sound: ResolvedClip, names: { picture: string; sound: string }): string {
  if (picture.picture === null && sound.sound === null) return 'the report knows neither of them';
  if (picture.picture === null) return `the report does not know the picture ${names.picture}`;
  if (sound.sound === null) return `the report does not know the sound ${names.sound}`;
  return 'the report has no pair of the two';
}

function shownName({ clip, picture, sound }: ResolvedClip): string {
  return picture?.key ?? sound?.key ?? (clip.name === '' ? 'an unnamed clip' : `'${clip.name}'`);
}
