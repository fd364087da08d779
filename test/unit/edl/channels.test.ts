import { describe, expect, it } from 'vitest';
import { describeClips, describeObservations, list, messagesOf, readList } from './lists.ts';

const TIMES = '01:00:00:00 01:00:01:00 00:00:00:00 00:00:01:00';

/** Names of the tracks that one event on these channels gives. */
function tracksOf(channels: string, ...after: readonly string[]): string {
  return readList(list(`001  REEL ${channels} C ${TIMES}`, ...after))
    .tracks.map(({ name, kind }) => `${name}${kind === 'other' ? ' (other)' : ''}`)
    .join(' ');
}

describe('channel fields', () => {
  it.each([
    ['V', 'V'],
    ['V1', 'V'],
    ['V2', 'V2'],
    ['A', 'A1'],
    ['A1', 'A1'],
    ['A2', 'A2'],
    ['A3', 'A3'],
    ['A20', 'A20'],
    ['AA', 'A1 A2'],
    // Both: picture and the first sound channel (common practice).
    ['B', 'V A1'],
    ['A/V', 'V A1'],
    ['V/A', 'V A1'],
    ['A2/V', 'V A2'],
    ['AA/V', 'V A1 A2'],
    ['VA1A2', 'V A1 A2'],
    ['A1,A2,A4', 'A1 A2 A4'],
    ['A1,3,4', 'A1 A3 A4'],
    ['V,A1', 'V A1'],
    ['aa/v', 'V A1 A2'],
    ['A1,A1', 'A1'],
  ])('%s: %s', (channels, tracks) => {
    expect(tracksOf(channels)).toBe(tracks);
  });

  it('AUD adds to the event above, comments between or not', () => {
    expect(tracksOf('AA', 'AUD  3')).toBe('A1 A2 A3');
    expect(tracksOf('AA', '* FROM CLIP NAME: one', '* words', 'AUD  3    4')).toBe('A1 A2 A3 A4');
    expect(tracksOf('AA', 'AUD  3', 'AUD  4')).toBe('A1 A2 A3 A4');
    expect(tracksOf('A', 'AUD  1')).toBe('A1');
  });

  it('NONE has the channels of its AUD line only', () => {
    expect(tracksOf('NONE', 'AUD  3    4')).toBe('A3 A4');
  });

  it('NONE without AUD is left out, and that is said', () => {
    const timeline = readList(list(`001  REEL NONE C ${TIMES}`));
    expect(timeline.clips).toEqual([]);
    expect(messagesOf(timeline, 'note')).toEqual([expect.stringContaining('names no channel')]);
  });

  it('AUD with no event above it is said', () => {
    const text = list('AUD  3', `001  REEL V C ${TIMES}`);
    expect(describeObservations(text, readList(text))).toEqual(["unreadable 'AUD  3'"]);
  });

  it.each(['X', 'A/', '/V', 'A1-4', '1', 'VIDEO', 'A1234', 'AA2,'])(
    '%s is no channel field: kept on a track of its own',
    (channels) => {
      const text = list(`001  REEL ${channels} C ${TIMES}`);
      const timeline = readList(text);
      expect(timeline.tracks.map(({ name, kind }) => [name, kind])).toEqual([[channels, 'other']]);
      expect(timeline.clips.map(({ role }) => role)).toEqual(['other']);
      expect(describeObservations(text, timeline)).toEqual([`unreadable '${channels}'`]);
    },
  );
});

describe('tracks', () => {
  it('stand picture first, by number, whatever the order of events', () => {
    const timeline = readList(
      list(
        `001  R A10 C ${TIMES}`,
        `002  R V2 C ${TIMES}`,
        `003  R A2 C ${TIMES}`,
        `004  R ODD C ${TIMES}`,
        `005  R B C ${TIMES}`,
      ),
    );
    expect(timeline.tracks.map((track) => track.name)).toEqual(['V', 'V2', 'A1', 'A2', 'A10', 'ODD']);
    expect(timeline.tracks.map((track) => track.index)).toEqual([0, 1, 2, 3, 4, 5]);
    expect(timeline.clips.map((clip) => timeline.tracks[clip.track]?.name)).toEqual(['A10', 'V2', 'A2', 'ODD', 'V', 'A1']);
  });

  it('one line on several channels is one clip each, and they share their characters', () => {
    const timeline = readList(list(`001  R AA/V C ${TIMES}`, 'AUD 3', `002  R V C ${TIMES}`));
    expect(describeClips(timeline).slice(0, 4)).toEqual(
      ['V', 'A1', 'A2', 'A3'].map((track) => `${track} R record 0-24 source 86400`),
    );
    const groups = timeline.clips.map((clip) => clip.textGroup);
    expect(new Set(groups.slice(0, 4)).size).toBe(1);
    expect(groups[4]).not.toBe(groups[0]);
    expect(timeline.clips.map((clip) => clip.index)).toEqual([0, 1, 2, 3, 4]);
  });

  it('a picture, a pair and two more channels, as four-channel lists have it', () => {
    const timeline = readList(
      list(`001  R V C ${TIMES}`, `001  R AA C ${TIMES}`, `001  R NONE C ${TIMES}`, 'AUD  3    4', '* FROM CLIP NAME: TAKE 7'),
    );
    expect(describeClips(timeline)).toEqual(
      ['V', 'A1', 'A2', 'A3', 'A4'].map((track) => `${track} TAKE 7 record 0-24 source 86400`),
    );
  });
});
