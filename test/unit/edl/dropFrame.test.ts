import { describe, expect, it } from 'vitest';
import { formatRational, rational } from '../../../server/src/core/time/rational.ts';
import { describeClips, describeObservations, list, messagesOf, readList } from './lists.ts';

const NTSC = { edlRate: rational(30000, 1001) };

describe('counting modes', () => {
  // 00:00:59;29 is frame 1799 and 00:01:00;02 frame 1800 at 29.97 drop-frame (SMPTE ST 12-1, counting rule); FCM: DROP FRAME with
  // plain colons is common practice.
  const plain = '001  R V C 00:00:59:29 00:01:00:02 00:00:59:29 00:01:00:02';

  it('FCM decides where separators are all colons', () => {
    const drop = readList(list('FCM: DROP FRAME', plain), NTSC);
    expect(describeClips(drop)).toEqual(['V R record 0-1 source 1799']);
    expect([drop.isDropFrame, formatRational(drop.startFrame ?? rational(-1))]).toEqual([true, '1799']);
    const nonDrop = readList(list('FCM: NON-DROP FRAME', plain), NTSC);
    expect(describeClips(nonDrop)).toEqual(['V R record 0-3 source 1799']);
    expect(nonDrop.isDropFrame).toBe(false);
    expect(nonDrop.observations).toEqual([]);
  });

  it.each(['DROP FRAME', 'DROP-FRAME', 'drop frame', 'DF'])('FCM: %s is drop-frame', (mode) => {
    expect(readList(list(`FCM: ${mode}`, plain), NTSC).isDropFrame).toBe(true);
  });

  it.each(['NON-DROP FRAME', 'NON DROP FRAME', 'NONDROP FRAME', 'NDF', 'non-drop frame'])('FCM: %s is not', (mode) => {
    expect(readList(list(`FCM: ${mode}`, plain), NTSC).isDropFrame).toBe(false);
  });

  it('an FCM that is neither is said and left out', () => {
    const text = list('FCM: 30 PICTURES', plain);
    expect(describeObservations(text, readList(text, NTSC))).toEqual(["unreadable '30 PICTURES'"]);
  });

  it('semicolons decide without FCM, before the frames or everywhere', () => {
    expect(describeClips(readList(list('001  R V C 00:00:59;29 00:01:00;02 00:00:59;29 00:01:00;02')))).toEqual([
      'V R record 0-1 source 1799',
    ]);
    expect(describeClips(readList(list('001  R V C 00;00;59;29 00;01;00;02 00;00;59;29 00;01;00;02')))).toEqual([
      'V R record 0-1 source 1799',
    ]);
  });

  it('a comma before the frames marks drop-frame, a full stop does not decide', () => {
    expect(readList(list('001  R V C 00:00:59,29 00:01:00,02 00:00:59,29 00:01:00,02'), NTSC).isDropFrame).toBe(true);
    expect(readList(list('001  R V C 00:00:59.29 00:01:00.02 00:00:59.29 00:01:00.02'), NTSC).isDropFrame).toBe(false);
  });

  it('59.94 drop-frame skips four labels: 00:00:59;59 is frame 3599, 00:01:00;04 frame 3600', () => {
    const timeline = readList(list('FCM: DROP FRAME', '001  R V C 00:00:59:59 00:01:00:04 00:00:59:59 00:01:00:04'));
    expect(formatRational(timeline.rate)).toBe('60000/1001');
    expect(describeClips(timeline)).toEqual(['V R record 0-1 source 3599']);
  });

  it('a non-drop source in a list that marks its record labels is read as written', () => {
    const text = list(
      'FCM: DROP FRAME',
      '001  R V C 01:00:00:00 01:00:01:00 00:00:00;00 00:00:01;00',
      '002  S V C 01:00:00;00 01:00:01;00 00:00:01;00 00:00:02;00',
    );
    const timeline = readList(text);
    expect(describeClips(timeline)).toEqual(['V R record 0-30 source 108000', 'V S record 30-60 source 107892']);
    expect(timeline.clips.map((clip) => clip.start?.isDropFrame)).toEqual([false, true]);
    expect(timeline.observations).toEqual([]);
  });

  it('says so when it holds for every source of the list', () => {
    const text = list('FCM: DROP FRAME', '001  R V C 01:00:00:00 01:00:01:00 00:00:00;00 00:00:01;00');
    expect(messagesOf(readList(text), 'note')).toEqual([expect.stringContaining('source times are read as non-drop-frame')]);
  });
});

describe('an FCM line between events', () => {
  it('speaks of the sources that follow', () => {
    const text = list(
      'FCM: NON-DROP FRAME',
      '001  R V C 01:00:00:00 01:00:01:00 00:00:00:00 00:00:01:00',
      'FCM: DROP FRAME',
      '002  S V C 01:00:00:00 01:00:01:00 00:00:01:00 00:00:02:00',
      'FCM: NON-DROP FRAME',
      '003  R V C 01:00:00:00 01:00:01:00 00:00:02:00 00:00:03:00',
    );
    const timeline = readList(text, NTSC);
    expect(describeClips(timeline)).toEqual([
      'V R record 0-30 source 108000',
      'V S record 30-60 source 107892',
      'V R record 60-90 source 108000',
    ]);
    expect(timeline.isDropFrame).toBe(false);
    expect(timeline.observations).toEqual([]);
  });

  it('a second one above the first event speaks of its source, the first of the list', () => {
    const text = list('FCM: NON-DROP FRAME', 'FCM: DROP FRAME', '001  R V C 01:00:00:00 01:00:01:00 01:00:00:00 01:00:01:00');
    const timeline = readList(text, NTSC);
    expect(describeClips(timeline)).toEqual(['V R record 0-30 source 107892']);
    expect([timeline.isDropFrame, formatRational(timeline.startFrame ?? rational(-1))]).toEqual([false, '108000']);
  });

  it('speaks of record times too where only that keeps them continuous', () => {
    // Frame 107892 is 00:59:56:12 non-drop and 01:00:00;00 drop-frame (SMPTE ST 12-1, counting rule).
    const text = list(
      'FCM: NON-DROP FRAME',
      '001  R V C 01:00:00:00 01:00:01:00 00:59:55:12 00:59:56:12',
      'FCM: DROP FRAME',
      '002  S V C 01:00:00:00 01:00:01:00 01:00:00:00 01:00:01:00',
    );
    const timeline = readList(text, NTSC);
    expect(describeClips(timeline)).toEqual(['V R record 0-30 source 108000', 'V S record 30-60 source 107892']);
    expect(messagesOf(timeline, 'note')).toEqual([expect.stringContaining('record timecode is read as drop-frame too')]);
  });
});

describe('labels that drop-frame counting skips', () => {
  const text = list('FCM: DROP FRAME', '001  R V C 00:01:00:00 00:01:01:00 00:10:00:00 00:10:00:28');
  const timeline = readList(text);

  it('are said, with the next label that exists', () => {
    expect(describeObservations(text, timeline)).toEqual(["skipped '00:01:00:00' -> 00:01:00:02"]);
    expect(messagesOf(timeline, 'label')[0]).toContain('Drop-frame counting skips 00:01:00:00; it is read as 00:01:00:02');
  });

  it('are read as that label, so that writing it changes nothing else', () => {
    expect(describeClips(timeline)).toEqual(['V R record 0-28 source 1800']);
    const corrected = readList(text.replace('00:01:00:00', '00:01:00:02'));
    expect(describeClips(corrected)).toEqual(describeClips(timeline));
    expect(corrected.observations).toEqual([]);
  });

  it('belong to their clip', () => {
    expect(timeline.observations.map((observation) => ('clip' in observation ? observation.clip : null))).toEqual([0]);
  });

  it('keep the separators they have', () => {
    const marked = list('001  R V C 00;01;00;01 00;01;01;00 00;10;00;00 00;10;00;28');
    expect(describeObservations(marked, readList(marked))).toEqual(["skipped '00;01;00;01' -> 00;01;00;02"]);
  });
});

describe('modes that contradict each other', () => {
  it('one plain label among marked ones is said, with the separator it should have', () => {
    const text = list(
      'FCM: DROP FRAME',
      '001  R V C 01:00:00;00 01:00:01;00 00:00:00;00 00:00:01;00',
      '002  R V C 01:00:00;00 01:00:01;00 00:00:01:00 00:00:02;00',
    );
    expect(describeObservations(text, readList(text))).toEqual(["mixed '00:00:01:00' -> 00:00:01;00"]);
  });

  it('one marked label in a non-drop list too', () => {
    const text = list(
      'FCM: NON-DROP FRAME',
      '001  R V C 01:00:00:00 01:00:01:00 00:00:00:00 00:00:01:00',
      '002  R V C 01:00:00:00 01:00:01:00 00:00:01:00 00:00:02;00',
    );
    expect(describeObservations(text, readList(text, NTSC))).toEqual(["mixed '00:00:02;00' -> 00:00:02:00"]);
  });

  it('source in and out of one event in two modes: which is right is not certain', () => {
    const text = list('FCM: NON-DROP FRAME', '001  R V C 01:00:00;00 01:00:01:00 00:00:00:00 00:00:01:00');
    expect(describeObservations(text, readList(text, NTSC))).toEqual(["mixed '01:00:01:00' -> null"]);
  });

  it('an FCM line against every separator of the record labels', () => {
    const text = list('FCM: NON-DROP FRAME', '001  R V C 01:00:00;00 01:00:01;00 00:00:00;00 00:00:01;00');
    const timeline = readList(text, NTSC);
    expect(timeline.isDropFrame).toBe(true);
    expect(describeObservations(text, timeline)).toEqual(["mixed 'NON-DROP FRAME' -> null"]);
  });

  it('a plain drop-frame list is not disturbed by one semicolon', () => {
    const text = list(
      'FCM: DROP FRAME',
      '001  R V C 01:00:00:00 01:00:01:00 00:00:00:00 00:00:01:00',
      '002  R V C 01:00:00;00 01:00:01;00 00:00:01:00 00:00:02:00',
      '003  R V C 01:00:00:00 01:00:01:00 00:00:02;00 00:00:03:00',
    );
    const timeline = readList(text);
    expect(describeClips(timeline).map((clip) => clip.replace(/^.*source /, ''))).toEqual(['107892', '107892', '107892']);
    expect(timeline.observations).toEqual([]);
  });

  // SMPTE ST 12-1: drop-frame counting exists at 29.97 and 59.94 only.
  it.each([rational(24), rational(25), rational(24000, 1001), rational(30)])('drop-frame asked for at %o', (edlRate) => {
    const text = list('FCM: DROP FRAME', '001  R V C 01:00:00;00 01:00:01;00 00:00:00;00 00:00:01;00');
    const timeline = readList(text, { edlRate });
    expect(timeline.isDropFrame).toBe(false);
    expect(describeObservations(text, timeline)).toEqual(["no-drop-frame-at-rate 'DROP FRAME' -> NON-DROP FRAME"]);
    const unstated = text.replace('FCM: DROP FRAME\n', '');
    expect(describeObservations(unstated, readList(unstated, { edlRate }))).toEqual([
      "no-drop-frame-at-rate '01:00:00;00' -> null",
    ]);
  });
});
