/**
 * scratch-live: the camera's own sound is enabled while its recorded sound plays.
 */

import type { PictureEntry } from '../alignment/model.ts';
import { compare } from '../time/rational.ts';
import type { AuditContext, ResolvedClip } from './context.ts';
import { groupBy } from './groupBy.ts';
import { draft, type FindingDraft, type Rule } from './rule.ts';

export const scratchLive: Rule = {
  code: 'scratch-live',
  defaultSeverity: 'information',
  documentation: {
    title: "The camera's own sound is on",
    what: "A sound clip that comes from a camera's file is enabled while the separate recording of the same picture plays.",
    why: "Scratch sound is for finding sync. Left on, it adds the room's echo and a second, later copy of every voice, and may reach the mix by mistake.",
    whatToDo: 'Disable or remove the scratch clip once the recorded sound is in place.',
    sources: ['common practice'],
  },
  check: scratchFindings,
};

function* scratchFindings(context: AuditContext): Generator<FindingDraft> {
  const scratches = context.clips.filter(({ clip, picture }) => clip.role === 'sound' && clip.isEnabled && picture !== null);
  if (scratches.length === 0) return;
  const recorded = groupBy(context.overlaps, (overlap) => overlap.pair.picture);
  for (const scratch of scratches) {
    const beside = recorded
      .get(scratch.picture as PictureEntry)
      ?.find(
        ({ record }) => compare(record.start, scratch.clip.record.end) < 0 && compare(scratch.clip.record.start, record.end) < 0,
      );
    if (beside !== undefined) yield scratchFinding(scratch, beside.sound);
  }
}

function scratchFinding({ clip, picture }: ResolvedClip, recorded: ResolvedClip): FindingDraft {
  return draft({
    message: `The own sound of camera ${picture?.key} plays beside its recording ${recorded.sound?.key}. Scratch sound is for finding sync: disable this clip unless both are meant to be heard.`,
    place: { file: null, span: clip.media.urlSpan ?? clip.nameSpan ?? clip.span },
    related: [
      { file: null, span: recorded.clip.nameSpan ?? recorded.clip.span, message: `the recorded sound: '${recorded.clip.name}'` },
    ],
    picture: picture?.key ?? null,
    sound: recorded.sound?.key ?? null,
    clips: [clip.index, recorded.clip.index],
  });
}
