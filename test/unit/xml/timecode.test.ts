/**
 * `CompositionTimecode` against the edit rate: SMPTE ST 12-1 decides what a label means.
 */

import { describe, expect, test } from 'vitest';
import { formatRational } from '../../../server/src/core/time/rational.ts';
import { changed, readXml, underlined } from './xmlSupport.ts';

function timecode(rate: string, isDrop: string, nominal: string, label: string): string {
  const withRate = changed('<EditRate>24000 1001</EditRate>\n  <Comp', `<EditRate>${rate}</EditRate>\n  <Comp`);
  return changed(
    '<TimecodeDropFrame>false</TimecodeDropFrame>\n    <TimecodeRate>24</TimecodeRate>\n    <TimecodeStartAddress>01:00:00:00',
    `<TimecodeDropFrame>${isDrop}</TimecodeDropFrame>\n    <TimecodeRate>${nominal}</TimecodeRate>\n    <TimecodeStartAddress>${label}`,
    withRate,
  );
}

describe('labels that exist', () => {
  // Drop-frame numbers: SMPTE ST 12-1, as worked out in the OTIO library's tests.
  test.each([
    ['30000 1001', 'true', '30', '00:01:00;02', '1800'],
    ['30000 1001', 'true', '30', '01:00:00;00', '107892'],
    ['30000 1001', 'true', '30', '00:10:00:00', '17982'],
    ['60000 1001', '1', '60', '00:01:00;04', '3600'],
    ['30000 1001', 'false', '30', '01:00:00:00', '108000'],
    ['25 1', '0', '25', '10:00:00:00', '900000'],
  ])('at %s, drop-frame %s of %s: %s is frame %s', (rate, isDrop, nominal, label, frame) => {
    const timeline = readXml(timecode(rate, isDrop, nominal, label));
    expect(timeline.observations).toEqual([]);
    expect(timeline.startFrame === null ? null : formatRational(timeline.startFrame)).toBe(frame);
    expect(timeline.isDropFrame).toBe(isDrop === 'true' || isDrop === '1');
  });
});

describe('labels that do not', () => {
  test('one that drop-frame counting skips is named, with the first one after it', () => {
    const timeline = readXml(timecode('30000 1001', 'true', '30', '01:01:00;00'));
    expect(timeline.observations).toMatchObject([
      { kind: 'label', problem: 'skipped', text: '01:01:00;00', replacement: '01:01:00;02' },
    ]);
  });

  test('drop-frame at a rate without it', () => {
    const text = timecode('25 1', 'true', '25', '01:00:00:00');
    const timeline = readXml(text);
    expect(timeline.observations).toMatchObject([{ kind: 'label', problem: 'no-drop-frame-at-rate', replacement: null }]);
    expect(underlined(text)).toEqual(['label: true']);
    expect(timeline.isDropFrame).toBe(false);
  });

  test('a drop-frame separator where frames are not dropped', () => {
    const timeline = readXml(timecode('30000 1001', 'false', '30', '01:00:00;00'));
    expect(timeline.observations).toMatchObject([{ kind: 'label', problem: 'mixed' }]);
  });

  test('fields past their largest value give no start', () => {
    const timeline = readXml(timecode('25 1', 'false', '25', '01:00:00:25'));
    expect(timeline.observations).toMatchObject([{ kind: 'unreadable', message: expect.stringContaining('up to 24') }]);
    expect(timeline.startFrame).toBeNull();
  });

  test('something else altogether', () => {
    const timeline = readXml(timecode('25 1', 'false', '25', 'one o clock'));
    expect(timeline.observations).toMatchObject([{ kind: 'unreadable', message: expect.stringContaining('hh:mm:ss:ff') }]);
  });
});

describe('contradictions', () => {
  test('between TimecodeRate and EditRate leave no certain start', () => {
    const text = timecode('24000 1001', 'false', '25', '01:00:00:00');
    const timeline = readXml(text);
    expect(timeline.observations).toMatchObject([
      { kind: 'rate', message: expect.stringContaining('counts 24 frames per second') },
    ]);
    expect(underlined(text)).toEqual(['rate: 25']);
    expect(timeline.startFrame).toBeNull();
  });
});
