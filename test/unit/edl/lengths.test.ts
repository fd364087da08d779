import { describe, expect, it } from 'vitest';
import { formatRational, rational } from '../../../server/src/core/time/rational.ts';
import { describeClips, describeObservations, frames, list, messagesOf, readList } from './lists.ts';

describe('record times', () => {
  it('count from the earliest record in, gaps and all', () => {
    const timeline = readList(
      list(
        'TITLE: GAPS',
        '001  R V C 00:00:10:00 00:00:11:00 01:00:05:00 01:00:06:00',
        '002  R A C 00:00:10:00 00:00:11:00 01:00:00:00 01:00:01:00',
        '003  R V C 00:00:20:00 00:00:21:00 01:00:10:00 01:00:11:00',
      ),
    );
    expect(describeClips(timeline)).toEqual([
      'V R record 120-144 source 240',
      'A1 R record 0-24 source 240',
      'V R record 240-264 source 480',
    ]);
    expect(timeline.name).toBe('GAPS');
    expect(formatRational(timeline.startFrame ?? rational(-1))).toBe('86400');
    expect(frames(timeline.duration, timeline.rate)).toBe('264');
  });

  it('keep both clips of an over-record', () => {
    const timeline = readList(
      list(
        '001  R V C 00:00:10:00 00:00:12:00 01:00:00:00 01:00:02:00',
        '002  S V C 00:00:30:00 00:00:31:00 01:00:01:00 01:00:02:00',
      ),
    );
    expect(describeClips(timeline)).toEqual(['V R record 0-48 source 240', 'V S record 24-48 source 720']);
    expect(timeline.observations).toEqual([]);
  });

  it('go on past midnight', () => {
    const timeline = readList(
      list(
        '001  R V C 00:00:10:00 00:00:12:00 23:59:58:00 00:00:00:00',
        '002  R V C 00:00:20:00 00:00:22:00 00:00:00:00 00:00:02:00',
        '003  R A C 00:00:10:00 00:00:14:00 23:59:58:00 00:00:02:00',
      ),
    );
    expect(describeClips(timeline)).toEqual([
      'V R record 0-48 source 240',
      'V R record 48-96 source 480',
      'A1 R record 0-96 source 240',
    ]);
    expect(timeline.observations).toEqual([]);
  });

  it('an event whose record out lies before its record in is said and left out', () => {
    const text = list(
      '001  R V C 00:00:10:00 00:00:12:00 01:00:02:00 01:00:00:00',
      '002  R V C 00:00:10:00 00:00:12:00 01:00:00:00 01:00:02:00',
    );
    const timeline = readList(text);
    expect(describeClips(timeline)).toEqual(['V R record 0-48 source 240']);
    expect(describeObservations(text, timeline)).toEqual(["unreadable '01:00:00:00'"]);
  });

  it('an event of no length is said and left out', () => {
    const text = list(
      '001  R V C 00:00:10:00 00:00:10:00 01:00:00:00 01:00:00:00',
      '002  R V C 00:00:10:00 00:00:12:00 01:00:00:00 01:00:02:00',
    );
    const timeline = readList(text);
    expect(describeClips(timeline)).toEqual(['V R record 0-48 source 240']);
    expect(messagesOf(timeline, 'note')).toEqual([
      'Record in and out are the same, so this event lasts no frames. It is left out.',
    ]);
  });

  it('event numbers decide nothing: past 999, repeated, out of order', () => {
    const event = (number: string, at: number): string =>
      `${number}  R V C 00:00:10:00 00:00:11:00 00:00:0${at}:00 00:00:0${at + 1}:00`;
    expect(
      describeClips(readList(list(event('1000', 0), event('060', 1), event('060', 2), event('000005', 3)))).map((clip) =>
        clip.slice(0, 18),
      ),
    ).toEqual(['V R record 0-24 so', 'V R record 24-48 s', 'V R record 48-72 s', 'V R record 72-96 s']);
  });
});

describe('source and record of different length', () => {
  it('is said on the source out, with the label that makes them equal', () => {
    const text = list('001  R V C 01:00:00:00 01:00:02:00 00:00:00:00 00:00:01:12');
    const timeline = readList(text);
    expect(describeObservations(text, timeline)).toEqual(["length '01:00:02:00' source 48 record 36 -> 01:00:01:12"]);
    const corrected = text.replace('01:00:02:00', '01:00:01:12');
    expect(readList(corrected).observations).toEqual([]);
  });

  it('is said once for all channels of a line, on its first clip', () => {
    const text = list('001  R AA/V C 01:00:00:00 01:00:02:00 00:00:00:00 00:00:01:12');
    const timeline = readList(text);
    expect(timeline.observations).toHaveLength(1);
    expect(timeline.observations[0]).toMatchObject({ kind: 'length', clip: 0 });
  });

  it('counts in the mode of the source: 00:00:59;28 to 00:01:00;04 is 4 frames (SMPTE ST 12-1)', () => {
    const text = list('FCM: DROP FRAME', '001  R V C 00:00:59:28 00:01:00:04 00:10:00:00 00:10:00:06');
    expect(describeObservations(text, readList(text))).toEqual(["length '00:01:00:04' source 4 record 6 -> 00:01:00:06"]);
  });

  it.each([
    ['9:59:59:00 9:59:59:12', "length '9:59:59:12' source 12 record 48 -> 10:00:01:00"],
    ['01;00;00;00 01;00;00;12', "length '01;00;00;12' source 12 record 48 -> 01;00;02;00"],
    ['0100 0112', "length '0112' source 12 record 48 -> 0148"],
  ])('keeps the style of the label: %s', (source, expected) => {
    const text = list(`001  R V C ${source} 00:00:00:00 00:00:02:00`);
    expect(
      describeObservations(text, readList(text, { edlRate: rational(24) })).filter((line) => line.startsWith('length')),
    ).toEqual([expected]);
  });

  it('is not asked of black, which has no source', () => {
    expect(readList(list('001  BL V C 00:00:00:00 00:00:00:00 01:00:00:00 01:00:02:00')).observations).toEqual([]);
  });

  it('is not asked of labels that do not exist', () => {
    const text = list('001  R V C 01:00:00:00 01:00:01:24 00:00:00:00 00:00:01:00');
    expect(describeObservations(text, readList(text, { edlRate: rational(24) }))).toEqual(["unreadable '01:00:01:24'"]);
  });
});

describe('source out before source in', () => {
  it('crosses midnight when that makes the source as long as the record', () => {
    const timeline = readList(list('001  R V C 23:59:59:00 00:00:01:00 01:00:00:00 01:00:02:00'));
    expect(describeClips(timeline)).toEqual([`V R record 0-48 source ${24 * 86400 - 24}`]);
    expect(timeline.observations).toEqual([]);
  });

  it('crosses midnight in drop-frame counting, whose day has 2,589,408 labels (SMPTE ST 12-1)', () => {
    const timeline = readList(list('FCM: DROP FRAME', '001  R V C 23:59:59:29 00:00:00:01 01:00:00:00 01:00:00:02'));
    expect(describeClips(timeline)).toEqual(['V R record 0-2 source 2589407']);
    expect(timeline.observations).toEqual([]);
  });

  it('otherwise is said; the clip keeps its place and is not compared', () => {
    const text = list('001  R V C 01:00:02:00 01:00:00:00 00:00:00:00 00:00:02:00');
    const timeline = readList(text);
    expect(describeClips(timeline)).toEqual(['V R record 0-48 source 86448 speed unknown']);
    expect(describeObservations(text, timeline)).toEqual(["unreadable '01:00:00:00'"]);
  });
});

describe('lists that hold no cut', () => {
  it('an empty text', () => {
    const timeline = readList('');
    expect([timeline.clips, timeline.tracks, timeline.startFrame, formatRational(timeline.duration)]).toEqual([
      [],
      [],
      null,
      '0',
    ]);
    expect(timeline.observations).toEqual([
      { kind: 'unreadable', span: { start: 0, end: 0 }, message: expect.stringContaining('no events') },
    ]);
    expect(timeline.outline).toEqual([]);
  });

  it('a header only is a list without events', () => {
    const text = list('TITLE: EMPTY', 'FCM: NON-DROP FRAME');
    expect(describeObservations(text, readList(text))).toEqual(["note 'TITLE: EMPTY'"]);
  });

  it('another kind of file', () => {
    const text = '{ "OTIO_SCHEMA": "Timeline.1" }';
    expect(describeObservations(text, readList(text))).toEqual([`unreadable '${text}'`]);
  });

  it('machine control is passed over with a note', () => {
    const text = list('001  R V C 00:00:10:00 00:00:11:00 01:00:00:00 01:00:01:00', 'GPI  1', 'M1 x', 'SWM  x', 'BLK', '>>> x');
    expect(describeObservations(text, readList(text))).toEqual([
      "note 'GPI  1'",
      "note 'M1 x'",
      "note 'SWM  x'",
      "note 'BLK'",
      "note '>>> x'",
    ]);
  });
});

describe('spans and the outline', () => {
  const text = list(
    'TITLE: ONE',
    '001  CAM_A V C 00:00:10:00 00:00:11:00 01:00:00:00 01:00:01:00',
    '* FROM CLIP NAME:  SHOT 1',
    'a person adds words',
    '',
    'FCM: NON-DROP FRAME',
    '002  CAM_B AA C 00:00:10:00 00:00:11:00 01:00:01:00 01:00:02:00',
  );
  const timeline = readList(text);
  const cut = (place: { readonly start: number; readonly end: number } | null | undefined): string | null =>
    place === null || place === undefined ? null : text.slice(place.start, place.end);

  it('a clip is its event with what belongs to it', () => {
    expect(cut(timeline.clips[0]?.span)).toBe(
      '001  CAM_A V C 00:00:10:00 00:00:11:00 01:00:00:00 01:00:01:00\n* FROM CLIP NAME:  SHOT 1\na person adds words',
    );
    expect([cut(timeline.clips[0]?.nameSpan), cut(timeline.clips[0]?.start?.span)]).toEqual(['SHOT 1', '00:00:10:00']);
    expect([cut(timeline.clips[1]?.nameSpan), timeline.clips[1]?.length]).toEqual(['CAM_B', null]);
  });

  it('a track stands where it is named first', () => {
    expect(timeline.tracks.map((track) => [track.name, cut(track.span)])).toEqual([
      ['V', 'V'],
      ['A1', 'AA'],
      ['A2', 'AA'],
    ]);
  });

  it('the outline has one node for each event', () => {
    expect(timeline.outline.map(({ kind, name }) => [kind, name])).toEqual([['timeline', 'ONE']]);
    expect(timeline.outline[0]?.children.map(({ kind, name, clip }) => [kind, name, clip])).toEqual([
      ['event', 'SHOT 1', 0],
      ['event', 'CAM_B', 1],
    ]);
    expect(timeline.outline).toBe(timeline.outline);
  });
});
