/**
 * What the random edits of test/property/compare.test.ts leave out: retimes, rates, joins, lists that start elsewhere, transitions,
 * clips without a report. Small cuts, each with one thing done to it.
 */

import { describe, expect, test } from 'vitest';
import { renderCompareMarkdown } from '../../../server/src/core/report/renderCompareMarkdown.ts';
import { mediaKey, mediaName } from '../../../server/src/core/review/mediaKey.ts';
import { type CutReview, isEmptyReview, reviewCut } from '../../../server/src/core/review/reviewCut.ts';
import { formatRational } from '../../../server/src/core/time/rational.ts';
import type { FormatId } from '../../../server/src/core/timeline/model.ts';
import { auditText, writeCut } from '../../support/auditText.ts';
import { type TestShot, writeOtio } from '../../support/cut.ts';
import type { TestReport } from '../../support/report.ts';
import { cameraReport, cutOf, STAMP, shot } from '../rules/fixtures.ts';

const settings = { edlRate: '24000/1001' };
/** One frame at 24000/1001, in seconds. */
const FRAME = '1001/24000';

const picture = shot('V1', 'CAM_A_0001.mov');
const sound = shot('A1', 'DECK_0001.wav');

function review(
  before: string | readonly TestShot[],
  after: string | readonly TestShot[],
  format: FormatId = 'otio',
  report: TestReport | null = cameraReport,
): CutReview {
  const text = (cut: string | readonly TestShot[]): string => (typeof cut === 'string' ? cut : writeCut(cutOf(...cut), format));
  return reviewCut(auditText(format, text(before), report, settings), auditText(format, text(after), report, settings));
}

const partsOf = ({ clips }: CutReview): readonly string[] =>
  clips.flatMap((change) => (change.kind === 'changed' ? change.parts.map(({ kind }) => kind) : [change.kind]));

describe('speeds and rates', () => {
  const speed = (scalar: number): string =>
    writeOtio(cutOf(picture, sound)).replace(
      '"source_range"',
      `"effects": [{ "OTIO_SCHEMA": "LinearTimeWarp.1", "name": "", "effect_name": "", "time_scalar": ${scalar} }], "source_range"`,
    );

  test('a retime is told as one, and what it makes of sync by the finding that appeared', () => {
    const found = review([picture, sound], speed(1.25));
    expect(partsOf(found)).toEqual(['retimed']);
    expect(found.sync.changes).toEqual([]);
    expect(found.findings.appeared.map(({ finding }) => finding.code)).toEqual(['speed-mismatch']);
  });

  test('a speed written otherwise is none', () => {
    expect(isEmptyReview(review(speed(1.25), speed(1.25).replace('1.25', '1.2500')))).toBe(true);
  });

  test('a clip counted at another rate is told, with the sync it breaks', () => {
    const text = writeOtio(cutOf(picture, sound));
    const at = text.lastIndexOf('"source_range"');
    const changed = text.slice(0, at) + text.slice(at).replaceAll('23.976023976023978', '24');
    const found = review(text, changed);
    expect(partsOf(found)).toContain('rate');
    expect(found.sync.changes.length).toBe(1);
  });

  test('a timeline at another rate says so', () => {
    const before = writeOtio({ ...cutOf(picture, sound), rate: [24, 1] });
    const after = writeOtio({ ...cutOf(picture, sound), rate: [25, 1] });
    expect(review(before, after).timeline.map(({ kind }) => kind)).toEqual(['rate']);
  });
});

describe('clips cut up and put together', () => {
  const head: TestShot = { ...sound, length: 100 };
  const tail: TestShot = { ...sound, recordIn: 140, length: 100, sourceIn: STAMP + 340 };

  test('a clip with a part lifted out is cut in two, with the length of the hole', () => {
    const found = review([picture, sound], [picture, head, tail]);
    expect(found.clips.length).toBe(1);
    const [change] = found.clips;
    const [part] = change?.kind === 'changed' ? change.parts : [];
    expect(part?.kind === 'split' ? [part.into, formatRational(part.without)] : part).toEqual([2, '1001/600']);
    expect(found.sync.changes).toEqual([]);
  });

  test('the other way round it is put together', () => {
    const found = review([picture, head, tail], [picture, sound]);
    const [change] = found.clips;
    const [part] = change?.kind === 'changed' ? change.parts : [];
    expect(part?.kind === 'joined' ? [part.from, formatRational(part.filled)] : part).toEqual([2, '1001/600']);
    expect(found.clips.length).toBe(1);
  });

  test('a finding on a clip that was cut in two has not appeared twice', () => {
    const late = (clip: TestShot): TestShot => ({ ...clip, sourceIn: clip.sourceIn + 3 });
    const found = review([picture, late(sound)], [picture, late(head), late(tail)]);
    expect([found.findings.appeared, found.findings.gone]).toEqual([[], []]);
  });
});

describe('sound against its picture', () => {
  test('that was moved away altogether is said to stand apart', () => {
    const found = review([picture, sound], [picture, { ...sound, recordIn: 400 }]);
    expect(found.sync.changes.map(({ isTogether, verdict }) => [isTogether, verdict.before, verdict.after])).toEqual([
      [false, 'in', null],
    ]);
  });

  test('that was trimmed away from it, in sync, has not changed', () => {
    const long: TestShot = { ...sound, length: 480 };
    const found = review([picture, long], [picture, { ...long, recordIn: 240, length: 240, sourceIn: STAMP + 440 }]);
    expect(found.sync.changes).toEqual([]);
    expect(partsOf(found)).toEqual(['recut']);
  });

  test('without a report is still told to have slipped, with no lag made up', () => {
    const found = review([picture, sound], [picture, { ...sound, sourceIn: sound.sourceIn - 1 }], 'otio', null);
    expect(found.sync.changes.map(({ by, lag, pair }) => [formatRational(by), lag, pair])).toEqual([[FRAME, null, null]]);
  });

  test('slipped out of its file counts from where it was, not from another origin', () => {
    const found = review([picture, sound], [picture, { ...sound, sourceIn: STAMP - 1000 }]);
    expect(found.sync.changes.map(({ by }) => formatRational(by))).toEqual(['1001/20']);
  });

  test('disabled is told as that', () => {
    const found = review([picture, sound], [picture, { ...sound, isDisabled: true }]);
    expect(partsOf(found)).toEqual(['disabled']);
    expect(found.sync.changes).toEqual([]);
  });
});

describe('an acceptance', () => {
  const late = writeOtio(cutOf(picture, { ...sound, sourceIn: sound.sourceIn + 3 }));
  const at = late.lastIndexOf('"metadata": {}');
  const accepted = `${late.slice(0, at)}${late.slice(at).replace('"metadata": {}', '"metadata": { "afterclap": { "accept": { "code": "sound-leads", "reason": "meant" } } }')}`;

  test('put on a finding is told as one: the finding has not gone', () => {
    const found = review(late, accepted);
    expect(found.now.accepted.length).toBe(1);
    expect([found.findings.appeared, found.findings.gone]).toEqual([[], []]);
    expect(found.findings.silenced.map(({ finding, reason }) => [finding.code, reason])).toEqual([['sound-leads', 'meant']]);
    expect(isEmptyReview(found)).toBe(false);
    expect(isEmptyReview(review(accepted, accepted))).toBe(true);
  });

  test('that came together with its finding is told too', () => {
    const found = review([picture, sound], accepted);
    expect([found.findings.appeared.length, found.findings.silenced.length]).toEqual([0, 1]);
  });

  test('taken away brings the finding back', () => {
    expect(review(accepted, late).findings.appeared.map(({ finding }) => finding.code)).toEqual(['sound-leads']);
  });
});

describe('texts that are broken', () => {
  test.each(['otio', 'xml', 'edl'] as const)(
    '%s cut off at every 1/50th is compared as far as it goes, without a throw',
    (format) => {
      const text = writeCut(cutOf(picture, sound, { ...picture, recordIn: 300 }, { ...sound, recordIn: 300 }), format);
      for (let part = 0; part <= 50; part += 1) {
        const cutOff = text.slice(0, Math.floor((text.length * part) / 50));
        expect(isEmptyReview(review(cutOff, cutOff, format))).toBe(true);
        expect(Array.isArray(review(text, cutOff, format).clips)).toBe(true);
        expect(Array.isArray(review(cutOff, text, format).clips)).toBe(true);
      }
    },
  );
});

describe('Markdown for a comment', () => {
  test('stays below what hosts take, and says what it left out', () => {
    const shots = (slip: number): readonly TestShot[] =>
      Array.from({ length: 1500 }, (_, index) => ({
        recordIn: index * 10,
        length: 2,
        sourceIn: STAMP + 100 + index * 3,
      })).flatMap((place) => [
        shot('V1', 'CAM_A_0001.mov', place),
        shot('A1', 'DECK_0001.wav', { ...place, sourceIn: place.sourceIn + slip }),
      ]);
    const text = renderCompareMarkdown(review(shots(0), shots(1)), {
      old: 'a.otio',
      now: 'b.otio',
      reportReason: 'day1 is used.',
    });
    expect(text.length).toBeLessThan(65_000);
    expect(text).toContain('**1500 sounds changed against their pictures. 1500 findings appeared.**');
    const shown = text.split('\n').filter((line) => line.startsWith('| deck-1')).length;
    expect(text).toContain(`… and ${1500 - shown} more; \`afterclap compare\` prints them all.`);
    expect(text).toContain('- … and 1500 more;');
  });
});

describe('edit decision lists', () => {
  const event = (number: string, channel: string, source: string, record: string): string =>
    `${number}  AX       ${channel.padEnd(5)} C        ${source} ${record}\n* SOURCE FILE: ${channel === 'V' ? 'CAM_A_0001.mov' : 'DECK_0001.wav'}\n`;
  const source = '14:00:08:08 14:00:18:08';
  const list = (hour: string, channels = 'A'): string =>
    `TITLE: x\nFCM: NON-DROP FRAME\n${event('001', 'V', source, `${hour}:00:00:00 ${hour}:00:10:00`)}${event('002', channels, source, `${hour}:00:00:00 ${hour}:00:10:00`)}`;

  test('that start at another timecode are the same cut', () => {
    const found = review(list('01'), list('10'), 'edl');
    expect(
      found.timeline.map((change) =>
        change.kind === 'start' ? [formatRational(change.old), formatRational(change.now)] : change,
      ),
    ).toEqual([['86400', '864000']]);
    expect([found.blocks, found.clips]).toEqual([[], []]);
  });

  test('without their first shot have lost a shot, and the others stand where they stood', () => {
    const second = (number: string): string => event(number, 'V', '14:00:28:08 14:00:38:08', '01:00:20:00 01:00:30:00');
    const found = review(`${list('01')}${second('003')}`, `TITLE: x\n${second('001')}`, 'edl');
    expect(partsOf(found)).toEqual(['removed', 'removed']);
    expect(found.blocks).toEqual([]);
  });

  test('give one finding for an event on two channels, where other formats have two: nothing appeared or went', () => {
    const late = { ...sound, sourceIn: sound.sourceIn + 3 };
    const text = list('01', 'AA').replace(/(002.*C {8})\S+ \S+/, '$114:00:08:11 14:00:18:11');
    const shots = [picture, late, { ...late, track: 'A2' }];
    const otio = auditText('otio', writeOtio(cutOf(...shots)).replace('"value": 0', '"value": 86400'), cameraReport, settings);
    const edl = auditText('edl', text, cameraReport, settings);
    expect([otio.findings.length, edl.findings.length]).toEqual([2, 1]);
    for (const found of [reviewCut(otio, edl), reviewCut(edl, otio)]) {
      expect(found.findings.appeared.map(({ finding }) => finding.code)).toEqual([]);
      expect(found.clips).toEqual([]);
    }
  });

  test('tell a dissolve that was put where a cut was', () => {
    const two = (type: string): string =>
      `TITLE: x\n001  CAM1     V     C        00:00:10:00 00:00:20:00 01:00:00:00 01:00:10:00\n${type}`;
    const cut = two('002  CAM2     V     C        00:00:40:00 00:00:50:00 01:00:10:00 01:00:20:00\n');
    const dissolve = two(
      '002  CAM1     V     C        00:00:20:00 00:00:20:00 01:00:10:00 01:00:10:00\n002  CAM2     V     D    024 00:00:40:00 00:00:50:00 01:00:10:00 01:00:20:00\n',
    );
    const found = review(cut, dissolve, 'edl', null);
    expect(new Set(partsOf(found))).toEqual(new Set(['transition']));
  });
});

describe('which recording a clip is cut from', () => {
  test('is the report entry where there is one, else the name without its extension', () => {
    const music = shot('A2', 'MUSIC.wav');
    const { context } = auditText('otio', writeOtio(cutOf(picture, sound, music)), cameraReport);
    expect(context.clips.map(mediaKey)).toEqual(['report cam-a', 'report deck-1', 'file music']);
    expect(context.clips.map(({ clip }) => mediaName(clip))).toEqual(['CAM_A_0001.mov', 'DECK_0001.wav', 'MUSIC.wav']);
  });
});
