/**
 * One call from a text to its conversion, as the tests of conversion need it.
 */

import { sharedPictureRate } from '../../../server/src/core/alignment/lookup.ts';
import type { AlignmentReport } from '../../../server/src/core/alignment/model.ts';
import { type Conversion, convertTimeline } from '../../../server/src/core/convert/convertTimeline.ts';
import type { Loss } from '../../../server/src/core/convert/loss.ts';
import { mediaFacts } from '../../../server/src/core/convert/mediaFacts.ts';
import type { TargetFormat } from '../../../server/src/core/convert/verifyText.ts';
import { writeEdl } from '../../../server/src/core/convert/writeEdl.ts';
import { writeOtio } from '../../../server/src/core/convert/writeOtio.ts';
import { writeXml } from '../../../server/src/core/convert/writeXml.ts';
import { formatFor } from '../../../server/src/core/formats/formatFor.ts';
import type { ReadOptions } from '../../../server/src/core/formats/timelineFormat.ts';
import type { Rate } from '../../../server/src/core/time/rate.ts';
import type { FormatId, Timeline } from '../../../server/src/core/timeline/model.ts';
import { renderXmlTree } from '../../../server/src/project/convert/renderXmlTree.ts';

export interface Converted {
  readonly text: string;
  readonly timeline: Timeline;
  readonly losses: readonly Loss[];
  readonly files: (Conversion & { readonly ok: true })['files'];
}

export function read(format: FormatId, text: string, rate: Rate | null = null): Timeline {
  return formatFor(format).read(text, optionsFor(rate, []));
}

/** The first file of the conversion, read back. */
export function convert(
  format: FormatId,
  text: string,
  target: TargetFormat,
  {
    rate = null,
    reports = [],
    groups = [],
  }: {
    readonly rate?: Rate | null;
    readonly reports?: readonly AlignmentReport[];
    readonly groups?: readonly (readonly string[])[];
  } = {},
): Converted {
  const options = optionsFor(rate, reports);
  const conversion = convertTimeline({
    text,
    timeline: formatFor(format).read(text, options),
    target,
    options,
    reports,
    groups,
    renderXml: renderXmlTree,
  });
  if (!conversion.ok) throw new Error(conversion.reason);
  const [first] = conversion.files;
  if (first === undefined) throw new Error('nothing was written');
  return {
    text: first.text,
    timeline: formatFor(target).read(first.text, options),
    losses: conversion.losses,
    files: conversion.files,
  };
}

/** A timeline that was never a text, as one. Losses of that step are of no interest. */
export function textOf(timeline: Timeline, format: TargetFormat): string {
  const source = { timeline, facts: mediaFacts(timeline.clips, []), transitionTypes: new Map() };
  switch (format) {
    case 'otio':
      return writeOtio(source).content;
    case 'xml':
      return renderXmlTree(writeXml(source).content);
    case 'edl': {
      const picture = timeline.tracks.find(({ kind }) => kind === 'picture') ?? null;
      const sounds = timeline.tracks.filter(({ kind }) => kind === 'sound').slice(0, 4);
      return writeEdl(source, { picture, sounds, label: null }).content;
    }
  }
}

/** Losses as `kind: message`. */
export function told(losses: readonly Loss[]): readonly string[] {
  return losses.map(({ kind, message }) => `${kind}: ${message}`);
}

export function kindsOf(losses: readonly Loss[]): readonly string[] {
  return [...new Set(losses.map(({ kind }) => kind))].sort();
}

function optionsFor(rate: Rate | null, reports: readonly AlignmentReport[]): ReadOptions {
  return { edlRate: rate, sharedPictureRate: sharedPictureRate(reports) };
}
