import { describe, expect, it } from 'vitest';
import { formatRational, rational } from '../../../server/src/core/time/rational.ts';
import { describeClips, describeObservations, list, messagesOf, readList } from './lists.ts';

/** One event whose highest frame field is `field`. */
const withField = (field: number): string => {
  const ff = String(field).padStart(2, '0');
  return `001  R V C 01:00:00:00 01:00:01:${ff} 00:00:00:00 00:00:01:${ff}`;
};

describe('the rate of a list', () => {
  // The list itself holds none; the order of decision is the one the settings document.
  it.each([
    [23, '24'],
    [24, '25'],
    [25, '30'],
    [29, '30'],
    [30, '50'],
    [49, '50'],
    [50, '60'],
    [59, '60'],
  ])('with a highest frame field of %i is %s', (field, rate) => {
    const timeline = readList(list(withField(field)));
    expect(formatRational(timeline.rate)).toBe(rate);
    expect(timeline.rateReason).toContain(`the highest frame field is ${field}`);
    expect(timeline.observations).toEqual([]);
  });

  it('says which rates look the same', () => {
    expect(readList(list(withField(23))).rateReason).toContain('23.976 is written the same way');
    expect(readList(list(withField(29))).rateReason).toContain('29.97 non-drop is written the same way');
    expect(readList(list(withField(59))).rateReason).toContain('59.94 non-drop is written the same way');
    expect(readList(list(withField(24))).rateReason).not.toContain('same way');
  });

  it('is edlRate where the settings have one, whatever the list says', () => {
    const timeline = readList(list('FCM: DROP FRAME', withField(29)), {
      edlRate: rational(30),
      sharedPictureRate: rational(25),
    });
    expect([formatRational(timeline.rate), timeline.rateReason]).toEqual(['30', 'edlRate in afterclap.json']);
  });

  it('else that of the pictures of the report', () => {
    const timeline = readList(list('FCM: DROP FRAME', withField(23)), { sharedPictureRate: rational(24000, 1001) });
    expect([formatRational(timeline.rate), timeline.rateReason]).toEqual([
      '24000/1001',
      'all pictures of the alignment report run at 23.976',
    ]);
  });

  it('else 29.97 where FCM says drop-frame, 59.94 where the frame fields need it', () => {
    expect(formatRational(readList(list('FCM: DROP FRAME', withField(23))).rate)).toBe('30000/1001');
    expect(formatRational(readList(list('FCM: DROP FRAME', withField(45))).rate)).toBe('60000/1001');
    expect(readList(list('FCM: DROP FRAME', withField(23))).rateReason).toBe("29.97, because of 'FCM: DROP FRAME'");
  });

  it('else 29.97 where its timecodes are marked drop-frame', () => {
    const timeline = readList(list('001  R V C 01:00:00;00 01:00:01;00 00:00:00;00 00:00:01;00'));
    expect(formatRational(timeline.rate)).toBe('30000/1001');
    expect(timeline.isDropFrame).toBe(true);
  });

  it('semicolons alone make no list drop-frame in which no field of many reaches 25', () => {
    const events = Array.from({ length: 12 }, (_, index) => {
      const ss = String(index).padStart(2, '0');
      const next = String(index + 1).padStart(2, '0');
      return `${String(index + 1).padStart(3, '0')}  R V C 01;00;${ss};00 01;00;${next};00 00;00;${ss};00 00;00;${next};00`;
    });
    expect(formatRational(readList(list(...events)).rate)).toBe('24');
  });

  it('else 24, and says that this is a guess', () => {
    const timeline = readList(list('001  R V C 100 200 0 100'));
    expect(formatRational(timeline.rate)).toBe('24');
    expect(timeline.rateReason).toContain('24 is assumed');
    expect(describeClips(timeline)).toEqual(['V R record 0-100 source 100']);
  });

  it('is nowhere in the text', () => {
    expect(readList(list(withField(23))).rateSpan).toBeNull();
  });
});

describe('labels that do not fit the rate', () => {
  const text = list(withField(24), '002  R V C 01:00:00:00 01:00:01:00 00:00:01:24 00:00:02:23');
  const timeline = readList(text, { edlRate: rational(24) });

  it('are said, with the rate that would fit', () => {
    expect(describeObservations(text, timeline)).toEqual([
      "unreadable '01:00:01:24'",
      "unreadable '00:00:01:24'",
      "unreadable '00:00:01:24'",
    ]);
    expect(messagesOf(timeline, 'unreadable')[0]).toBe(
      "01:00:01:24 does not exist at 24 frames per second, where the frame field runs from 0 to 23. The list's highest frame field is 24, which would fit 25; set edlRate in afterclap.json to the rate of the list.",
    );
  });

  it('keep their clips with a best guess and a doubt, so that nothing is compared on it', () => {
    expect(describeClips(timeline)).toEqual(['V R record 0-48 source 86400 doubtful', 'V R record 48-71 source 86400 doubtful']);
    expect(timeline.clips[0]?.doubt).toBe('its record out 00:00:01:24 does not exist at 24 frames per second');
  });

  it('no rate fits a field of 99', () => {
    expect(messagesOf(readList(list(withField(99))), 'unreadable')[0]).toContain('No timecode rate reaches it');
  });

  it('fields past the clock are said', () => {
    const late = list('001  R V C 01:00:61:00 01:00:62:00 24:00:00:00 24:00:01:00');
    expect(describeObservations(late, readList(late))).toEqual([
      "unreadable '01:00:61:00'",
      "unreadable '01:00:62:00'",
      "unreadable '24:00:00:00'",
      "unreadable '24:00:01:00'",
    ]);
  });

  it('of a whole list at the wrong rate the first hundred are listed and the rest counted', () => {
    const many = list(...Array.from({ length: 200 }, () => '001  R V C 01:00:00:00 01:00:01:24 00:00:00:00 00:00:01:24'));
    const { observations } = readList(many, { edlRate: rational(24) });
    expect(observations.filter((observation) => observation.kind === 'unreadable')).toHaveLength(100);
    expect(messagesOf(readList(many, { edlRate: rational(24) }), 'limit')).toEqual([
      'There are 300 more labels that do not fit the rate from here on; the first 100 are listed.',
    ]);
  });
});
