/**
 * The list of what a conversion could not carry over: as a person reads it, and as one JSON object for programs.
 */

import { clipPlaces } from '../report/clipPlaces.ts';
import { visibleText } from '../report/visibleText.ts';
import { wrapText } from '../report/wrapText.ts';
import { buildLineIndex, type LineIndex, positionAt } from '../text/lineIndex.ts';
import { formatRational } from '../time/rational.ts';
import type { FormatId, Timeline } from '../timeline/model.ts';
import type { Loss } from './loss.ts';
import type { TargetFormat } from './verifyText.ts';

export interface ConversionReport {
  /** As a person typed it. */
  readonly path: string;
  readonly text: string;
  readonly timeline: Timeline;
  readonly target: TargetFormat;
  readonly losses: readonly Loss[];
  /** What was written where. */
  readonly written: readonly { readonly path: string; readonly tracks: readonly string[] }[];
  /** Which report was used and why, or why none was. */
  readonly reportReason: string;
}

/** Rises when a member changes its meaning or goes. */
const JSON_VERSION = 1;
const TITLES: Readonly<Record<FormatId, string>> = {
  otio: 'OTIO JSON',
  xml: 'neutral timeline XML',
  edl: 'edit decision list',
  cpl: 'composition playlist',
};

/** Every loss with its place, then the totals. `width` in columns. */
export function renderLossesText(report: ConversionReport, width: number): string {
  const { path, text, timeline, losses, target } = report;
  const index = buildLineIndex(text);
  const placeOf = clipPlaces(timeline);
  const lines: string[] = [];
  for (const loss of losses) {
    const where = placeOf(loss.clip ?? undefined) ?? trackName(timeline, loss);
    lines.push(`${placeName(path, index, loss)}  ${loss.kind}${where === null ? '' : `  ${visibleText(where)}`}`);
    for (const line of wrapText(visibleText(loss.message), Math.max(20, width - 4))) lines.push(`    ${line}`);
  }
  const what = `${visibleText(path)} as ${TITLES[target]}`;
  lines.push(
    losses.length === 0 ? `${what}: nothing was lost.` : `${what}: ${countOf(losses)} could not be kept (${totals(losses)}).`,
  );
  return `${lines.join('\n')}\n`;
}

/** One object with a line break at its end. Rationals are `num/den` or an integer, in seconds; lines and columns count from 1. */
export function renderLossesJson(report: ConversionReport): string {
  const { path, text, timeline, target, losses, written, reportReason } = report;
  const index = buildLineIndex(text);
  return `${JSON.stringify(
    {
      version: JSON_VERSION,
      path,
      from: timeline.format,
      to: target,
      alignment: reportReason,
      written,
      losses: losses.map((loss) => {
        const clip = loss.clip === null ? undefined : timeline.clips[loss.clip];
        return {
          kind: loss.kind,
          message: loss.message,
          clip: clip?.name ?? null,
          track:
            loss.track === null
              ? clip === undefined
                ? null
                : (timeline.tracks[clip.track]?.name ?? null)
              : (timeline.tracks[loss.track]?.name ?? null),
          record: clip === undefined ? null : { start: formatRational(clip.record.start), end: formatRational(clip.record.end) },
          range: rangeOf(index, loss),
        };
      }),
    },
    null,
    2,
  )}\n`;
}

function placeName(path: string, index: LineIndex, { span }: Loss): string {
  if (span === null) return visibleText(path);
  const { line, column } = positionAt(index, span.start);
  return `${visibleText(path)}:${line + 1}:${column + 1}`;
}

function trackName({ tracks }: Timeline, { track }: Loss): string | null {
  const found = track === null ? undefined : tracks[track];
  return found === undefined ? null : `track ${found.name}`;
}

function rangeOf(index: LineIndex, { span }: Loss): object | null {
  if (span === null) return null;
  const place = (offset: number): object => {
    const { line, column } = positionAt(index, offset);
    return { line: line + 1, column: column + 1 };
  };
  return { start: place(span.start), end: place(span.end) };
}

function countOf(losses: readonly Loss[]): string {
  return losses.length === 1 ? 'one thing' : `${losses.length} things`;
}

/** '40 media, 13 time-stamp', the most frequent first. */
function totals(losses: readonly Loss[]): string {
  const counts = new Map<string, number>();
  for (const { kind } of losses) counts.set(kind, (counts.get(kind) ?? 0) + 1);
  const sorted = [...counts].toSorted(([leftKind, left], [rightKind, right]) => right - left || (leftKind < rightKind ? -1 : 1));
  return sorted.map(([kind, count]) => `${count} ${kind}`).join(', ');
}
