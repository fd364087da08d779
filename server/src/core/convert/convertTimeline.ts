/**
 * The single entry of conversion: a timeline as read, a target, out come texts and a list of everything they cannot hold.
 *
 * Pure: files, and turning an XML tree into characters, are left to the caller. Every text is read again before it is
 * handed out, so that what was written is what was meant.
 */

import type { AlignmentReport } from '../alignment/model.ts';
import type { ReadOptions } from '../formats/timelineFormat.ts';
import { formatRational } from '../time/rational.ts';
import type { Timeline, Track } from '../timeline/model.ts';
import { type EdlGroup, edlGroups } from './edlGroups.ts';
import { isOutOfProportion } from './exactTimes.ts';
import { createLossLog, type Loss, type LossLog } from './loss.ts';
import { mediaFacts } from './mediaFacts.ts';
import type { ConversionSource, TransitionType, Written } from './source.ts';
import { surveyCpl } from './surveyCpl.ts';
import { surveyEdl } from './surveyEdl.ts';
import { surveyOtio } from './surveyOtio.ts';
import { surveyXml } from './surveyXml.ts';
import { clipLoss } from './tell.ts';
import { type TargetFormat, verifyText } from './verifyText.ts';
import { writeEdl } from './writeEdl.ts';
import { writeOtio } from './writeOtio.ts';
import { writeXml } from './writeXml.ts';
import type { XmlNode } from './xmlTree.ts';

export interface ConversionInput {
  readonly text: string;
  /** What reading `text` gave. */
  readonly timeline: Timeline;
  readonly target: TargetFormat;
  /** What the project says of rates; the converted text is read with it too. */
  readonly options: ReadOptions;
  /** Where files begin, when the timeline does not say; empty when there is no report. */
  readonly reports: readonly AlignmentReport[];
  /** Tracks by name for each edit list; empty for the usual groups. */
  readonly groups: readonly (readonly string[])[];
  readonly renderXml: (tree: XmlNode) => string;
}

interface ConvertedFile {
  readonly text: string;
  /** Stands in the file name where there are several, as in `A1-A4`; null for the only one. */
  readonly label: string | null;
  /** Names of the tracks in it. */
  readonly tracks: readonly string[];
}

export type Conversion =
  | {
      readonly ok: true;
      readonly files: readonly ConvertedFile[];
      /** In the order of the source text. */
      readonly losses: readonly Loss[];
      /** True when the start of some file was taken from a report. */
      readonly usesReport: boolean;
    }
  /** Why nothing can be converted, as a sentence for people. */
  | { readonly ok: false; readonly reason: string };

export function convertTimeline(input: ConversionInput): Conversion {
  const { timeline, target } = input;
  if (timeline.clips.length === 0) return { ok: false, reason: 'there is no clip in it to convert' };
  if (isOutOfProportion(timeline.rate)) return { ok: false, reason: 'its frame rate is out of all proportion' };
  const log = createLossLog();
  const source: ConversionSource = {
    timeline,
    facts: mediaFacts(timeline.clips, input.reports),
    transitionTypes: survey(input, log),
  };
  tellReading(timeline, log);
  const written = target === 'edl' ? lists(input, source, log) : { ok: true as const, texts: [wholeText(input, source)] };
  if (!written.ok) return written;
  const losses = [...log.losses()];
  const files: ConvertedFile[] = [];
  for (const { text, label, tracks, written: one } of written.texts) {
    const indices = new Set(tracks.map(({ index }) => index));
    losses.push(...one.losses, ...verifyText({ source, target, text, written: one, tracks: indices, options: input.options }));
    files.push({ text, label, tracks: tracks.map(({ name }) => name) });
  }
  return {
    ok: true,
    files,
    losses: inTextOrder(withoutTwins(losses)),
    usesReport: source.facts.some(
      ({ from, stamp }) => from === 'report' || (target === 'edl' && from === 'media-time' && stamp !== null),
    ),
  };
}

interface OneText {
  readonly text: string;
  readonly label: string | null;
  readonly tracks: readonly Track[];
  readonly written: Written<unknown>;
}

function survey({ text, timeline }: ConversionInput, log: LossLog): ReadonlyMap<number, TransitionType> {
  switch (timeline.format) {
    case 'otio':
      return surveyOtio(text, timeline, log);
    case 'edl':
      return surveyEdl(text, timeline, log);
    case 'xml':
      surveyXml(text, timeline, log);
      return new Map();
    case 'cpl':
      surveyCpl(text, timeline, log);
      return new Map();
  }
}

/** What could not be read cannot be converted, and what stands in a doubtful place is written where it seems to stand. */
function tellReading(timeline: Timeline, log: LossLog): void {
  for (const observation of timeline.observations) {
    const { kind, span } = observation;
    const clip = 'clip' in observation ? observation.clip : null;
    if (kind === 'unreadable' || kind === 'limit') {
      const message = `The source could not be read here: ${observation.message}`;
      log.tell({ kind: 'unreadable', message, clip, track: null, span });
    } else if (kind === 'length') {
      const [inSource, onRecord] = [observation.sourceFrames, observation.recordFrames].map(formatRational);
      const message = `It is ${inSource} frames long in its source and ${onRecord} on record, and nothing says that it is retimed. The record is believed, at normal speed.`;
      log.tell({ kind: 'length', message, clip, track: null, span });
    } else if (kind === 'label') {
      log.tell({
        kind: 'label',
        message: `A label is written as it was understood: ${observation.message}`,
        clip,
        track: null,
        span,
      });
    }
  }
  for (const clip of timeline.clips) {
    if (clip.doubt === null) continue;
    log.tell(clipLoss('doubt', clip, `Its place is doubtful: ${clip.doubt}. It is written where it seems to stand.`));
  }
}

function wholeText({ target, renderXml, timeline }: ConversionInput, source: ConversionSource): OneText {
  if (target === 'xml') {
    const written = writeXml(source);
    const tracks = timeline.tracks.filter(({ kind }) => kind !== 'other');
    return { text: renderXml(written.content), label: null, tracks, written };
  }
  const written = writeOtio(source);
  return { text: written.content, label: null, tracks: timeline.tracks, written };
}

function lists(
  { timeline, groups: wanted }: ConversionInput,
  source: ConversionSource,
  log: LossLog,
): { readonly ok: true; readonly texts: readonly OneText[] } | { readonly ok: false; readonly reason: string } {
  const tracks = timeline.tracks.filter((track) => isListed(timeline, track, log));
  const found = edlGroups(tracks, wanted);
  if (!found.ok) return found;
  for (const { name, index, span } of found.leftOut) {
    const message = `The track ${name} is in none of the groups asked for. It is left out.`;
    log.tell({ kind: 'track', message, clip: null, track: index, span });
  }
  tellFurtherPictures(found.groups, log);
  const texts = found.groups.map((group) => {
    const written = writeEdl(source, group);
    return {
      text: written.content,
      label: group.label,
      tracks: [group.picture, ...group.sounds].filter((track) => track !== null),
      written,
    };
  });
  return { ok: true, texts };
}

/** Channels are picture or sound, and a list has none without an event. */
function isListed(timeline: Timeline, { kind, name, index, span }: Track, log: LossLog): boolean {
  const count = timeline.clips.filter(({ track }) => track === index).length;
  const tell = (message: string): void => log.tell({ kind: 'track', message, clip: null, track: index, span });
  if (kind === 'other') {
    tell(
      `The track ${name} is neither picture nor sound, and a list has no channel for it. It is left out with its ${count} ${count === 1 ? 'clip' : 'clips'}.`,
    );
  } else if (count === 0) {
    tell(`The track ${name} has no clips, and a list has no empty channel. It is left out.`);
  }
  return kind !== 'other' && count > 0;
}

function tellFurtherPictures(groups: readonly EdlGroup[], log: LossLog): void {
  const first = groups[0]?.picture ?? null;
  for (const { picture, sounds, label } of groups) {
    if (picture === null || picture === first || sounds.length > 0) continue;
    const message = `A list holds one picture channel. The track ${picture.name} is alone in the list ${label ?? ''}, without the sound beside it.`;
    log.tell({ kind: 'track', message, clip: null, track: picture.index, span: picture.span });
  }
}

/** Several lists hold the same picture and tell the same of it. */
function withoutTwins(losses: readonly Loss[]): readonly Loss[] {
  const seen = new Set<string>();
  return losses.filter((loss) => {
    const key = JSON.stringify([loss.kind, loss.message, loss.clip, loss.track, loss.span?.start]);
    const isNew = !seen.has(key);
    seen.add(key);
    return isNew;
  });
}

function inTextOrder(losses: readonly Loss[]): readonly Loss[] {
  const placeOf = ({ span }: Loss): number => (span === null ? Number.POSITIVE_INFINITY : span.start);
  return losses.toSorted((left, right) => placeOf(left) - placeOf(right) || 0);
}
