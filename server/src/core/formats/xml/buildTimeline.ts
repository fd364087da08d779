/**
 * From the collected places of a timeline XML to the neutral timeline.
 *
 * Rules that the schema documents and that are carried out here and in the files this one calls
 * - A number counts units of the nearest `EditRate`: the element's own, else the Track's, else the Timeline's. The media's
 *   EditRate is the unit of its AvailableRange only.
 * - `SourceDuration` is the length on record; `TimeScalar` says how fast media runs in it, from EntryPoint on.
 * - Items of a Track follow one another without a hole; a Transition takes no time and extends its neighbours.
 */

import type { ProblemLog } from '../../syntax/xml/problemLog.ts';
import { isSampleRate, type Rate, rateLabel } from '../../time/rate.ts';
import { maximum, rational, ZERO } from '../../time/rational.ts';
import type { Acceptance, Clip, Observation, OutlineNode, Timeline, Track, Transition } from '../../timeline/model.ts';
import { readMedia } from './readMedia.ts';
import { readTimecode } from './readTimecode.ts';
import { addAcceptances, type RateInForce, rateInForce, readTrack, type TrackContext } from './readTrack.ts';
import type { TimelineDraft, TrackDraft } from './timelineDraft.ts';
import type { WrittenValues } from './writtenValues.ts';

/** Where the file states no rate. Nothing is compared on the strength of it. */
const ASSUMED_RATE: Rate = rational(24);

const ROLE = { Video: 'picture', Audio: 'sound' } as const;
const LETTER = { picture: 'V', sound: 'A', other: 'T' } as const;

export function buildTimeline(
  text: string,
  draft: TimelineDraft | null,
  values: WrittenValues,
  log: ProblemLog<Observation>,
): Timeline {
  if (draft === null) return emptyTimeline(log);
  const stated = draft.rate === null ? null : values.editRate(draft.rate, null);
  const missing = draft.rate === null ? 'the Timeline has no EditRate' : 'the EditRate of the Timeline cannot be read';
  const rate = stated ?? ASSUMED_RATE;
  if (stated !== null && isSampleRate(stated) && draft.rate !== null) {
    const message = `The EditRate of the Timeline is ${rateLabel(stated)}, a sample rate. Expected: the frame rate of the picture. Sound counts in samples by an EditRate on its Track or Clip.`;
    log.report({ kind: 'rate', span: draft.rate, message, clip: null });
  }
  const timecode = readTimecode(text, draft, rate, values, log);
  const media = readMedia(text, draft.media, values, log);

  const tracks: Track[] = [];
  const clips: Clip[] = [];
  const transitions: Transition[] = [];
  const acceptances: Acceptance[] = [];
  const context: TrackContext = { values, log, media, clips, transitions, acceptances };
  const trackNodes: OutlineNode[] = [];
  const counts = { picture: 0, sound: 0, other: 0 };
  let duration = ZERO;

  addAcceptances(context, draft.accepts, 'all');
  const rateOfTimeline: RateInForce = {
    rate,
    doubt: stated === null ? `${missing}, so the length of an edit unit is unknown` : null,
  };
  for (const trackDraft of draft.tracks) {
    const track = trackOf(trackDraft, tracks.length, counts, values, draft.stack?.isEnabled ?? true);
    tracks.push(track);
    const rateOfTrack = rateInForce(trackDraft.rate, rateOfTimeline, values, 'its Track', null);
    const firstClip = clips.length;
    const read = readTrack(context, trackDraft, track, rateOfTrack);
    duration = maximum(duration, read.duration);
    const clipsOfTrack = Array.from({ length: clips.length - firstClip }, (_, offset) => firstClip + offset);
    addAcceptances(context, trackDraft.accepts, clipsOfTrack);
    const { name, span } = track;
    trackNodes.push({ kind: 'track', name, span, nameSpan: trackDraft.name, clip: null, children: read.nodes });
  }

  const name = draft.title === null ? '' : values.textAt(draft.title);
  return {
    format: 'xml',
    name,
    rate,
    rateReason: stated === null ? `${missing}, so 24 is assumed` : 'the EditRate of the Timeline says so',
    rateSpan: stated === null ? null : draft.rate,
    isDropFrame: timecode.isDropFrame,
    startFrame: stated === null ? null : timecode.startFrame,
    duration,
    tracks,
    clips,
    transitions,
    observations: inTextOrder(log.entries),
    acceptances,
    outline: [outlineOf(draft, name, media.outline, trackNodes)],
  };
}

/** `counts` has the tracks of each kind so far, for those without a name of their own. */
function trackOf(
  draft: TrackDraft,
  index: number,
  counts: Record<Track['kind'], number>,
  values: WrittenValues,
  isStackEnabled: boolean,
): Track {
  const kind = draft.kind === 'Video' || draft.kind === 'Audio' ? ROLE[draft.kind] : 'other';
  counts[kind] += 1;
  const written = draft.name === null ? '' : values.textAt(draft.name);
  return {
    index,
    kind,
    name: written === '' ? `${LETTER[kind]}${counts[kind]}` : written,
    span: { start: draft.start, end: draft.end },
    isEnabled: draft.isEnabled && isStackEnabled,
  };
}

function outlineOf(
  draft: TimelineDraft,
  name: string,
  mediaNodes: readonly OutlineNode[],
  trackNodes: readonly OutlineNode[],
): OutlineNode {
  const { stack, start, end } = draft;
  const stackNodes: readonly OutlineNode[] =
    stack === null
      ? trackNodes
      : [
          {
            kind: 'stack',
            name: 'Stack',
            span: { start: stack.start, end: stack.end },
            nameSpan: null,
            clip: null,
            children: trackNodes,
          },
        ];
  return {
    kind: 'timeline',
    name: name === '' ? 'Timeline' : name,
    span: { start, end },
    nameSpan: draft.title,
    clip: null,
    children: [...mediaNodes, ...stackNodes],
  };
}

function inTextOrder(observations: readonly Observation[]): readonly Observation[] {
  return observations.toSorted((left, right) => left.span.start - right.span.start || left.span.end - right.span.end);
}

function emptyTimeline(log: ProblemLog<Observation>): Timeline {
  return {
    format: 'xml',
    name: '',
    rate: ASSUMED_RATE,
    rateReason: 'the text holds no Timeline, so 24 is assumed',
    rateSpan: null,
    isDropFrame: false,
    startFrame: null,
    duration: ZERO,
    tracks: [],
    clips: [],
    transitions: [],
    observations: inTextOrder(log.entries),
    acceptances: [],
    outline: [],
  };
}
