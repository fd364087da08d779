/**
 * The media references of neutral timeline XML: one for each file, with where it begins in source time.
 *
 * The format counts EntryPoint from the first frame or sample of the file, so what it needs most is the file's stamp. Where neither
 * the timeline nor a report states it, the source times are written as they are and the loss is told.
 */

import { type Rate, rateLabel } from '../time/rate.ts';
import { equals, formatRational, type Rational, reduce, sign, subtract, ZERO } from '../time/rational.ts';
import type { Clip, Timeline, TimeRange } from '../timeline/model.ts';
import { boundedUnit, isOutOfProportion, wholeCountBefore } from './exactTimes.ts';
import type { LossLog } from './loss.ts';
import type { MediaFacts } from './mediaFacts.ts';
import { mediaNameOf } from './mediaName.ts';
import { clipLoss } from './tell.ts';
import { element, textElement, type XmlNode, xmlToken } from './xmlTree.ts';

export interface XmlMediaTable {
  /** The Id of the reference for a clip's media, written when first asked for. */
  readonly idFor: (clip: Clip, facts: MediaFacts) => string;
  readonly references: () => readonly XmlNode[];
}

export function xmlMediaTable(timeline: Timeline, log: LossLog): XmlMediaTable {
  const { rate } = timeline;
  const byKey = new Map<string, string>();
  const nodes: XmlNode[] = [];
  const taken = new Set<string>();
  return {
    idFor: (clip, facts) => {
      const key = keyOf(clip, facts, mediaNameOf(clip, timeline));
      const known = byKey.get(key);
      if (known !== undefined) return known;
      const id = newId(clip, nodes.length + 1);
      taken.add(id);
      byKey.set(key, id);
      nodes.push(reference(clip, facts, id));
      return id;
    },
    references: () => nodes,
  };

  /** An identifier that the media has already, where it is one; else a number. */
  function newId(clip: Clip, number: number): string {
    const name = mediaNameOf(clip, timeline) ?? '';
    return /^urn:uuid:[0-9a-f-]+$/i.test(name) && !taken.has(name) ? name : `media-${number}`;
  }

  function reference(clip: Clip, facts: MediaFacts, id: string): XmlNode {
    const { media } = clip;
    const url = xmlToken(media.url ?? '');
    const name = mediaNameOf(clip, timeline);
    const range = rangeOf(clip, facts);
    const unit = unitOf(clip, facts, range);
    return element('ExternalReference', [
      textElement('Id', id),
      name === null ? null : textElement('Name', cleaned(clip, name, 'The name of its media')),
      textElement('TargetUrl', url === '' ? standIn(clip) : cleaned(clip, media.url ?? '', 'The address of its media')),
      textElement('EditRate', rateText(unit)),
      range === null
        ? null
        : element('AvailableRange', [
            textElement('StartTime', wholeCountBefore(range.start, unit)),
            textElement('Duration', wholeCountBefore(subtract(range.end, range.start), unit)),
          ]),
      media.reel === null ? null : element('Metadata', [textElement('Reel', cleaned(clip, media.reel, 'The name of its reel'))]),
    ]);
  }

  /** What stands for a file that is not named: the element must hold something. */
  function standIn(clip: Clip): string {
    const { media } = clip;
    const name = xmlToken(media.name ?? media.reel ?? clip.name);
    const what = media.kind === 'missing' ? 'Its media is missing' : 'No file is named for it';
    const shown = name === '' ? 'missing' : name;
    log.tell(clipLoss('media', clip, `${what}. TargetUrl must say something, so it holds '${shown}'.`, media.nameSpan));
    return shown;
  }

  function rangeOf(clip: Clip, facts: MediaFacts): TimeRange | null {
    const { media } = clip;
    if (facts.from === 'unknown') {
      log.tell(
        clipLoss(
          'time-stamp',
          clip,
          `Neither the timeline nor a report states where its file begins, and EntryPoint counts from there. Its source times are written as if they did, which is wrong wherever they are timecode. Convert again beside an alignment report that gives the file's start, or add AvailableRange by hand.`,
          clip.start?.span ?? null,
        ),
      );
      return null;
    }
    if (facts.from === 'media-time' || facts.from === 'assumed') return null;
    const range = facts.available ?? { start: facts.origin, end: facts.origin };
    const isSound = !isOutOfProportion(range.start) && !isOutOfProportion(range.end);
    if (isSound && sign(range.start) >= 0 && sign(subtract(range.end, range.start)) >= 0) return range;
    const message = `Where its file begins and ends makes no AvailableRange: it lies before 0, or out of all proportion. It is left out, and EntryPoint counts from the file's start as it should.`;
    log.tell(clipLoss('time-stamp', clip, message, media.urlSpan));
    return null;
  }

  function unitOf(clip: Clip, facts: MediaFacts, range: TimeRange | null): Rate {
    const { media } = clip;
    const times = range === null ? [] : [range.start, subtract(range.end, range.start)];
    const { unit } = boundedUnit(times, [media.rate, facts.rate, clip.start?.rate ?? null, rate]);
    if (media.rate !== null && !equals(unit, media.rate)) {
      const message = `The start of its file was counted at ${rateLabel(media.rate)} and is now counted at ${rateLabel(unit)}: the instant is the same, the unit is not.`;
      log.tell(clipLoss('unit', clip, message, media.rateSpan));
    }
    return unit;
  }

  function cleaned(clip: Clip, text: string, what: string): string {
    const token = xmlToken(text);
    if (token !== text) {
      log.tell(
        clipLoss(
          'name',
          clip,
          `${what} holds line breaks, runs of blanks or control characters; they are written as single blanks.`,
        ),
      );
    }
    return token;
  }
}

/** References are one when everything written in them is. */
function keyOf({ media, start }: Clip, facts: MediaFacts, name: string | null): string {
  const time = (value: Rational): string => formatRational(value);
  const range = facts.available === null ? '' : `${time(facts.available.start)} ${time(facts.available.end)}`;
  const rate = media.rate ?? facts.rate ?? start?.rate ?? ZERO;
  return JSON.stringify([media.kind, media.url, name, media.reel, facts.from, time(facts.origin), range, time(rate)]);
}

export function rateText(rate: Rate): string {
  const { numerator, denominator } = reduce(rate);
  return `${numerator} ${denominator}`;
}
