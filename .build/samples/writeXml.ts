/**
 * The cut as neutral timeline XML, written by xml2js.
 *
 * xml2js keeps the members of an object in order but puts all children of one name together. A track alternates clips and
 * gaps, so its children are numbered by name (`Clip.3`, `Gap.4`) and the numbers taken off the finished text.
 */

import { Builder } from 'xml2js';
import { type Fraction, fraction } from './fraction.ts';
import { frameOfLabel } from './labels.ts';
import { FRAMES_PER_SECOND, type PlacedCut, type PlacedPicture, type PlacedSound } from './place.ts';
import { unitsOf } from './writeOtio.ts';

type Element = { [name: string]: string | Element | readonly Element[] };

const NAMESPACE = 'urn:afterclap:timeline:1';

export function writeXml(cut: PlacedCut, title: string): string {
  const builder = new Builder({
    xmldec: { version: '1.0', encoding: 'UTF-8' },
    renderOpts: { pretty: true, indent: '  ', newline: '\n' },
  });
  const numbered = builder.buildObject({
    Timeline: {
      $: { xmlns: NAMESPACE },
      ContentTitle: title,
      EditRate: editRate(FRAMES_PER_SECOND),
      CompositionTimecode: { TimecodeDropFrame: 'false', TimecodeRate: '24', TimecodeStartAddress: '01:00:00:00' },
      MediaReferences: { ExternalReference: references(cut) },
      Stack: {
        Track: [
          track('Video', cut.pictures, pictureClip),
          track(
            'Audio',
            cut.sounds.filter(({ channel }) => channel === 'A1'),
            soundClip,
          ),
          track(
            'Audio',
            cut.sounds.filter(({ channel }) => channel === 'A2'),
            soundClip,
          ),
        ],
      },
    },
  });
  return `${numbered.replace(/(<\/?(?:Clip|Gap))\.\d+/g, '$1')}\n`;
}

/** One reference for each file and rate it is counted at, in order of first use. */
function references(cut: PlacedCut): readonly Element[] {
  const seen = new Map<string, Element>();
  for (const { media, countedAt } of cut.pictures) {
    seen.set(media.key, reference(media, countedAt, frameOfLabel(media.start), media.frames));
  }
  for (const { media, countedAt } of cut.sounds) {
    seen.set(media.key, reference(media, countedAt, BigInt(media.startSample), media.samples));
  }
  return [...seen.values()];
}

function reference(
  media: { readonly key: string; readonly file: string },
  rate: Fraction,
  start: bigint,
  length: number,
): Element {
  return {
    Id: media.key,
    TargetUrl: `media/${media.file}`,
    EditRate: editRate(rate),
    AvailableRange: { StartTime: start.toString(), Duration: length.toString() },
  };
}

function track<Placed extends { readonly clip: { readonly from: number; readonly length: number } }>(
  kind: string,
  placed: readonly Placed[],
  write: (clip: Placed) => Element,
): Element {
  const element: Element = { $: { kind } };
  let at = 0;
  for (const clip of placed) {
    if (clip.clip.from > at) {
      element[`Gap.${Object.keys(element).length}`] = { SourceDuration: String(clip.clip.from - at) };
    }
    element[`Clip.${Object.keys(element).length}`] = write(clip);
    at = clip.clip.from + clip.clip.length;
  }
  return element;
}

function pictureClip(placed: PlacedPicture): Element {
  const { clip, media, countedAt, entry } = placed;
  return {
    Name: clip.name,
    TrackFileId: media.key,
    ...(clip.countedAt === undefined ? {} : { EditRate: editRate(countedAt) }),
    EntryPoint: entry.toString(),
    SourceDuration: unitsOf(clip.length, countedAt, clip.name).toString(),
  };
}

function soundClip({ clip, media, countedAt, entry }: PlacedSound): Element {
  return {
    Name: clip.name,
    TrackFileId: media.key,
    EditRate: editRate(countedAt),
    EntryPoint: entry.toString(),
    SourceDuration: unitsOf(clip.length, countedAt, clip.name).toString(),
    ...(clip.accept === undefined ? {} : { Metadata: { Accept: { $: { code: clip.accept.code }, _: clip.accept.reason } } }),
  };
}

/** A rate as neutral XML writes it: numerator, blank, denominator. */
export function editRate(rate: Fraction): string {
  const { over, under } = fraction(rate.over, rate.under);
  return `${over} ${under}`;
}
