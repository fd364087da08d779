/**
 * A timeline as neutral timeline XML (`syntaxes/timeline.xsd`), as a tree: the characters are made outside of the core.
 *
 * Counts are whole edit units. Where the unit of the source does not give whole numbers, a finer EditRate is written for that
 * clip, so positions stay exact.
 */

import { TIMELINE_VOCABULARY } from '../formats/xml/timelineVocabulary.ts';
import { isSampleRate, nominalFramesPerSecond, type Rate } from '../time/rate.ts';
import {
  equals,
  floor,
  formatExactDecimal,
  isInteger,
  ONE,
  type Rational,
  reduce,
  sign,
  subtract,
  ZERO,
} from '../time/rational.ts';
import { formatTimecode } from '../time/timecode.ts';
import type { Acceptance, Clip, Track, Transition } from '../timeline/model.ts';
import { type AcceptedCodes, acceptedCodes } from './acceptedCodes.ts';
import { boundedUnit, wholeCountBefore } from './exactTimes.ts';
import { generatorOf } from './generators.ts';
import { type Lane, type LaneItem, layOutLanes } from './laneLayout.ts';
import { createLossLog, type LossLog } from './loss.ts';
import { type MediaFacts, mediaStart } from './mediaFacts.ts';
import { type ConversionSource, finished, type Written } from './source.ts';
import { amount, clipLoss, others, tellLayer, tellLostTransition, tellUnits, writableClips } from './tell.ts';
import { rateText, type XmlMediaTable, xmlMediaTable } from './xmlMedia.ts';
import { element, textElement, type XmlNode, xmlToken } from './xmlTree.ts';

interface Writing {
  readonly source: ConversionSource;
  readonly log: LossLog;
  readonly accepted: AcceptedCodes;
  readonly media: XmlMediaTable;
}

const KINDS = { picture: 'Video', sound: 'Audio' } as const;

export function writeXml(source: ConversionSource): Written<XmlNode> {
  const { timeline } = source;
  const log = createLossLog();
  const writing: Writing = { source, log, accepted: acceptedCodes(timeline), media: xmlMediaTable(timeline, log) };
  const tracks = timeline.tracks.filter((track) => isWritable(writing, track));
  const clips = writableClips(source, log).filter((clip) => tracks.some(({ index }) => index === clip.track));
  const layout = layOutLanes(timeline, tracks, clips);
  for (const transition of layout.lost) tellLostTransition(log, transition);
  tellSourceCounting(writing);
  const trackNodes = layout.lanes.map((lane) => trackNode(writing, lane));
  const accepts = acceptNodes(writing, writing.accepted.everywhere);
  const root = element(
    'Timeline',
    [
      textElement('ContentTitle', titleOf(writing)),
      textElement('EditRate', rateText(timeline.rate)),
      timecode(writing),
      element('MediaReferences', writing.media.references()),
      element('Stack', trackNodes),
      accepts.length === 0 ? null : element('Metadata', accepts),
    ],
    { xmlns: TIMELINE_VOCABULARY.namespace },
  );
  return finished(root, log);
}

function isWritable({ source: { timeline }, log }: Writing, { kind, name, index, span }: Track): boolean {
  if (kind !== 'other') return true;
  const count = timeline.clips.filter((clip) => clip.track === index).length;
  const message = `The track ${name} is neither picture nor sound, and neutral XML has no other kind. It is left out with its ${count} ${count === 1 ? 'clip' : 'clips'}.`;
  log.tell({ kind: 'track', message, clip: null, track: index, span });
  return false;
}

function titleOf({ source: { timeline }, log }: Writing): string {
  const title = xmlToken(timeline.name);
  if (title !== timeline.name) {
    const message =
      'The name of the timeline holds line breaks, runs of blanks or control characters; they are written as single blanks.';
    log.tell({ kind: 'name', message, clip: null, track: null, span: null });
  }
  return title;
}

function timecode({ source: { timeline }, log }: Writing): XmlNode | null {
  const { startFrame, rate, isDropFrame } = timeline;
  if (startFrame === null || isSampleRate(rate)) return null;
  if (!isInteger(startFrame)) {
    const message =
      'The record timecode of the first instant lies between two frames. The label of the frame before is written; places on record stay exact.';
    log.tell({ kind: 'sub-frame', message, clip: null, track: null, span: timeline.rateSpan });
  }
  return element('CompositionTimecode', [
    textElement('TimecodeDropFrame', String(isDropFrame)),
    textElement('TimecodeRate', String(nominalFramesPerSecond(rate))),
    textElement('TimecodeStartAddress', formatTimecode(Number(floor(startFrame)), rate, isDropFrame)),
  ]);
}

function trackNode(writing: Writing, lane: Lane): XmlNode {
  const { source, log } = writing;
  const { rate } = source.timeline;
  const { kind, name, isEnabled } = lane.track;
  tellLayer(log, lane);
  const units = new Map(
    lane.items.flatMap((item) => (item.kind === 'clip' ? [[item.clip, unitOf(writing, item.clip)] as const] : [])),
  );
  const trackRate = mostCommon([...units.values()]) ?? rate;
  const items = lane.items.map((item) => itemNode(writing, item, trackRate, units));
  return element(
    'Track',
    [
      textElement('Name', lane.layer === 0 ? xmlToken(name) : xmlToken(`${name} layer ${lane.layer + 1}`)),
      equals(trackRate, rate) ? null : textElement('EditRate', rateText(trackRate)),
      ...items,
    ],
    { kind: kind === 'other' ? 'Video' : KINDS[kind], ...(isEnabled ? {} : { enabled: 'false' }) },
  );
}

function itemNode(writing: Writing, item: LaneItem, trackRate: Rate, units: ReadonlyMap<Clip, Rate>): XmlNode {
  switch (item.kind) {
    case 'gap':
      return gapNode(writing, item.length, trackRate);
    case 'transition':
      return transitionNode(writing, item.transition, trackRate);
    case 'clip': {
      if (item.clip.media.kind !== 'generator') return clipNode(writing, item.clip, units.get(item.clip) ?? trackRate, trackRate);
      const { name, kind } = generatorOf(item.clip);
      writing.log.excuse(item.clip.index);
      const what = kind === 'black' ? 'It shows black' : `It shows '${name}', which is made and not read from a file`;
      writing.log.tell(
        clipLoss(
          'media',
          item.clip,
          `${what}, and neutral XML holds files only. It is written as a Gap.`,
          item.clip.media.nameSpan,
        ),
      );
      return gapNode(writing, subtract(item.clip.record.end, item.clip.record.start), trackRate);
    }
  }
}

function gapNode({ source }: Writing, length: Rational, trackRate: Rate): XmlNode {
  const { unit } = boundedUnit([length], [trackRate, source.timeline.rate]);
  return element('Gap', [ownRate(unit, trackRate), textElement('SourceDuration', wholeCountBefore(length, unit))]);
}

function transitionNode({ source, log }: Writing, transition: Transition, trackRate: Rate): XmlNode {
  const { before, after, name, span, track } = transition;
  const { unit } = boundedUnit([before, after], [trackRate, source.timeline.rate]);
  const type = source.transitionTypes.get(span.start);
  if (type?.kind === 'other' || (type?.kind === 'wipe' && !/^wipe\b/i.test(name))) {
    const kind = type.kind === 'other' ? type.name : 'wipe';
    const message = `This transition is of the kind "${kind}". Neutral XML says where a transition stands and how long it is, not of which kind.`;
    log.tell({ kind: 'transition', message, clip: null, track, span });
  }
  return element('Transition', [
    name === '' ? null : textElement('Name', xmlToken(name)),
    ownRate(unit, trackRate),
    textElement('InOffset', wholeCountBefore(before, unit)),
    textElement('OutOffset', wholeCountBefore(after, unit)),
  ]);
}

function clipNode(writing: Writing, clip: Clip, unit: Rate, trackRate: Rate): XmlNode {
  const { source, log, media, accepted } = writing;
  const facts = source.facts[clip.index] as MediaFacts;
  const length = subtract(clip.record.end, clip.record.start);
  tellUnits(log, clip, unit, unit);
  const name = xmlToken(clip.name);
  tellName(log, clip, name);
  const accepts = acceptNodes(writing, accepted.ofClip(clip.index));
  return element(
    'Clip',
    [
      name === '' ? null : textElement('Name', name),
      textElement('TrackFileId', media.idFor(clip, facts)),
      ownRate(unit, trackRate),
      textElement('EntryPoint', wholeCountBefore(entryOf(log, clip, facts), unit)),
      textElement('SourceDuration', wholeCountBefore(length, unit)),
      scalarNode(log, clip),
      accepts.length === 0 ? null : element('Metadata', accepts),
    ],
    clip.isEnabled ? {} : { enabled: 'false' },
  );
}

/** The unit in which the start and the length of a clip are whole. */
function unitOf({ source, log }: Writing, clip: Clip): Rate {
  const facts = source.facts[clip.index] as MediaFacts;
  const entry = mediaStart(clip, facts);
  const { start, media } = clip;
  const { unit, isExact } = boundedUnit(
    [sign(entry) < 0 ? ZERO : entry, subtract(clip.record.end, clip.record.start)],
    [start?.rate ?? null, clip.length?.rate ?? null, media.rate, facts.rate, source.timeline.rate],
  );
  if (isExact) return unit;
  log.excuse(clip.index);
  const message = 'Its position is so fine that no edit rate holds it. It is rounded to a millionth of a millionth of a second.';
  log.tell(clipLoss('sub-frame', clip, message, start?.span ?? null));
  return unit;
}

/** Media time at the head; EntryPoint cannot lie before the file. */
function entryOf(log: LossLog, clip: Clip, facts: MediaFacts): Rational {
  const entry = mediaStart(clip, facts);
  if (sign(entry) >= 0) return entry;
  log.excuse(clip.index);
  const message = `It starts ${amount(entry)} before the first frame or sample of its file, which EntryPoint cannot say. It is written to start with the file, so what it shows has moved by that much.`;
  log.tell(clipLoss('sub-frame', clip, message, clip.start?.span ?? null));
  return ZERO;
}

function tellName(log: LossLog, clip: Clip, written: string): void {
  if (clip.name === '') {
    log.tellAlike(
      `no-name ${clip.track}`,
      { kind: 'name', clip: clip.index, track: clip.track, span: clip.span },
      (count) => `It has no name. Neutral XML then calls it by its file${others(count)}.`,
    );
  } else if (written !== clip.name) {
    const message = 'Its name holds line breaks, runs of blanks or control characters; they are written as single blanks.';
    log.tell(clipLoss('name', clip, message, clip.nameSpan));
  }
}

function scalarNode(log: LossLog, clip: Clip): XmlNode | null {
  const { speed } = clip;
  if (speed.kind === 'unknown') {
    log.excuse(clip.index);
    const message = `Its speed is not known (${speed.reason}), and neutral XML cannot say so. It is written at normal speed: do not trust a check of this clip.`;
    log.tell(clipLoss('speed', clip, message, speed.span));
    return null;
  }
  if (equals(speed.scalar, ONE)) return null;
  const exact = formatExactDecimal(speed.scalar);
  if (exact !== null && /^-?\d{1,19}(?:\.\d{1,19})?$/.test(exact)) return textElement('TimeScalar', exact);
  const { numerator, denominator } = reduce(speed.scalar);
  const ratio = `${numerator}/${denominator}`;
  if (/^-?\d{1,19}\/\d{1,19}$/.test(ratio)) return textElement('TimeScalar', ratio);
  log.excuse(clip.index);
  log.tell(clipLoss('speed', clip, `Its speed is ${ratio}, more digits than TimeScalar holds. It is written as 1.`, speed.span));
  return null;
}

function acceptNodes({ log }: Writing, acceptances: readonly Acceptance[]): readonly XmlNode[] {
  return acceptances.flatMap(({ code, reason, span }) => {
    const [shortCode, shortReason] = [xmlToken(code), xmlToken(reason)];
    if (shortCode !== '' && shortReason !== '') return [textElement('Accept', shortReason, { code: shortCode })];
    const message = 'This acceptance names no code or gives no reason, and neutral XML needs both. It is left out.';
    log.tell({ kind: 'acceptance', message, clip: null, track: null, span });
    return [];
  });
}

/** An edit list counts each source label in its own mode; neutral XML holds frame numbers. */
function tellSourceCounting({ source: { timeline }, log }: Writing): void {
  const clip = timeline.clips.find(({ start }) => start?.isDropFrame !== undefined && start.isDropFrame !== timeline.isDropFrame);
  if (clip === undefined) return;
  const message =
    'Some source timecodes are counted drop-frame and others, or the record side, are not. Neutral XML holds frame numbers: the instants are exact, the way labels count them is not kept.';
  log.tell({ kind: 'drop-frame', message, clip: null, track: null, span: clip.start?.span ?? null });
}

function ownRate(unit: Rate, inherited: Rate): XmlNode | null {
  return equals(unit, inherited) ? null : textElement('EditRate', rateText(unit));
}

function mostCommon(rates: readonly Rate[]): Rate | null {
  const counts = new Map<string, { rate: Rate; count: number }>();
  for (const rate of rates) {
    const known = counts.get(rateText(rate)) ?? { rate, count: 0 };
    known.count += 1;
    counts.set(rateText(rate), known);
  }
  return (
    [...counts.values()].reduce<{ rate: Rate; count: number } | null>(
      (best, entry) => (best === null || entry.count > best.count ? entry : best),
      null,
    )?.rate ?? null
  );
}
