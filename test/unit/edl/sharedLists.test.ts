/**
 * Real lists kept beside the repository, where they exist, read without a thrown error and with the numbers published for
 * them. A clone elsewhere has none, and says so.
 */

import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { describe, expect, it } from 'vitest';
import { formatRational, rational, subtract } from '../../../server/src/core/time/rational.ts';
import type { Timeline } from '../../../server/src/core/timeline/model.ts';
import { frames, messagesOf, readList } from './lists.ts';

const folder = resolve(import.meta.dirname, '../../../../shared/timelines');
const isHere = existsSync(folder);
if (!isHere) console.log('skipped: no shared timelines beside the repository');

interface Assertion {
  readonly id: string;
  readonly file: string | null;
  readonly kind: string;
  readonly subject: { readonly rate?: number; readonly event?: number };
  readonly expect: unknown;
}

const assertions: readonly Assertion[] = isHere
  ? (JSON.parse(readFileSync(resolve(folder, 'expected.json'), 'utf8')) as { assertions: Assertion[] }).assertions
  : [];

function read(file: string, rate: number | undefined): Timeline {
  const text = readFileSync(resolve(folder, file), 'utf8');
  return readList(text, { edlRate: rate === undefined ? null : rational(rate) });
}

function lengths(timeline: Timeline): readonly number[] {
  const first = timeline.clips[0]?.track;
  return timeline.clips
    .filter((clip) => clip.track === first)
    .map((clip) => Number(frames(subtract(clip.record.end, clip.record.start), timeline.rate)));
}

function clipAt(timeline: Timeline, index: number) {
  const clip = timeline.clips[index];
  if (clip === undefined) throw new Error(`no clip ${index}`);
  return clip;
}

/** What a list says of the subject of an assertion, in the words of its kind. */
const ANSWERS: Readonly<Record<string, (timeline: Timeline) => unknown>> = {
  'edl-durations': lengths,
  'edl-items': (timeline) => {
    const items: { kind: string; record: readonly number[] }[] = [];
    let end = 0;
    for (const clip of timeline.clips) {
      const start = Number(frames(clip.record.start, timeline.rate));
      const stop = Number(frames(clip.record.end, timeline.rate));
      if (start > end) items.push({ kind: 'gap', record: [end, start - end] });
      items.push({ kind: 'clip', record: [start, stop - start] });
      end = stop;
    }
    return items;
  },
  'edl-source': (timeline) => {
    const { record, sourceStart } = clipAt(timeline, 1);
    const start = Number(frames(sourceStart, timeline.rate));
    return { in: start, out: start + Number(frames(subtract(record.end, record.start), timeline.rate)) };
  },
  'edl-channels': (timeline) => ({ channels: timeline.tracks.map((track) => track.name) }),
  'edl-dissolve': (timeline) => {
    const transition = timeline.transitions[0];
    const outgoing = timeline.clips.find((clip) => frames(clip.tailOverlap, timeline.rate) !== '0');
    const incoming = clipAt(timeline, (outgoing?.index ?? 0) + 1);
    if (transition === undefined || outgoing === undefined) throw new Error('no transition');
    const length = Number(frames(transition.after, timeline.rate));
    return {
      length,
      from: outgoing.name,
      to: incoming.name,
      recordStart: Number(frames(transition.at, timeline.rate)) + Number(formatRational(timeline.startFrame ?? rational(0))),
      incomingSourceStart: Number(frames(incoming.sourceStart, timeline.rate)),
      outgoingUsesUpTo:
        Number(frames(outgoing.sourceStart, timeline.rate)) +
        Number(frames(subtract(outgoing.record.end, outgoing.record.start), timeline.rate)) +
        length,
    };
  },
  'edl-wipe': (timeline) => {
    const outgoing = clipAt(timeline, 0);
    const duration = Number(frames(subtract(outgoing.record.end, outgoing.record.start), timeline.rate));
    return {
      code: timeline.transitions[0]?.name.replace('Wipe ', 'W'),
      length: Number(frames(timeline.transitions[0]?.after ?? rational(0), timeline.rate)),
      outgoingDuration: duration,
      outgoingVisibleDuration: duration + Number(frames(outgoing.tailOverlap, timeline.rate)),
    };
  },
};

describe.runIf(isHere)('real lists beside the repository', () => {
  it.each(assertions.filter(({ file }) => file?.endsWith('.edl')))(
    '$id: $kind of $file',
    ({ file, kind, subject, expect: wanted }) => {
      const answer = ANSWERS[kind]?.(read(file as string, subject.rate));
      if (Array.isArray(wanted)) expect(answer).toEqual(wanted);
      else expect(answer).toMatchObject(wanted as object);
    },
  );

  it('every list is read without a word about lines it cannot read', () => {
    for (const name of readdirSync(resolve(folder, 'edl'))) {
      const timeline = read(`edl/${name}`, undefined);
      expect(timeline.clips.length, name).toBeGreaterThan(0);
      expect(messagesOf(timeline, 'unreadable'), name).toEqual([]);
    }
  });
});
