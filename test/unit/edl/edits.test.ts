import { describe, expect, it } from 'vitest';
import { edlFormat } from '../../../server/src/core/formats/edl/edlFormat.ts';
import type { Change, ReadOptions } from '../../../server/src/core/formats/timelineFormat.ts';
import { span } from '../../../server/src/core/text/span.ts';
import { applyEdits } from '../../../server/src/core/text/textEdit.ts';
import { formatRational, parseDecimal, rational } from '../../../server/src/core/time/rational.ts';
import { list, readList } from './lists.ts';

/** The text after a change, or why it was refused. */
function changed(text: string, change: Change, options: Partial<ReadOptions> = {}): string {
  const result = edlFormat.editsFor(text, readList(text, options), change);
  if (!result.ok) return `refused: ${result.reason}`;
  return applyEdits(text, result.edits) ?? 'edits overlap';
}

function slipped(text: string, clip: number, count: string | number, options: Partial<ReadOptions> = {}): string {
  const value = parseDecimal(String(count)) ?? rational(-1);
  return changed(text, { kind: 'set-source-start', clip, count: value }, options);
}

const EVENT = '001  CAM_A    V     C        01:00:00:00 01:00:02:00 00:00:00:00 00:00:02:00';

describe('slipping a clip', () => {
  it('moves source in and source out together and leaves the rest byte for byte', () => {
    const text = `TITLE: X\r\n\r\n${EVENT} and more  \r\n* FROM CLIP NAME:  ONE\t\r\n`;
    expect(slipped(text, 0, 86_401)).toBe(text.replace('01:00:00:00 01:00:02:00', '01:00:00:01 01:00:02:01'));
    expect(slipped(text, 0, 86_400 - 25)).toBe(text.replace('01:00:00:00 01:00:02:00', '00:59:58:23 01:00:00:23'));
  });

  it('to where it is changes nothing', () => {
    expect(slipped(list(EVENT), 0, 86_400)).toBe(list(EVENT));
    const result = edlFormat.editsFor(list(EVENT), readList(list(EVENT)), {
      kind: 'set-source-start',
      clip: 0,
      count: rational(86_400),
    });
    expect(result).toEqual({ ok: true, edits: [] });
  });

  it.each([
    ['01;00;00;00 01;00;02;00', '01;00;00;05 01;00;02;05'],
    ['01:00:00.00 01:00:02.00', '01:00:00.05 01:00:02.05'],
    ['1:00:00:00 1:00:02:00', '1:00:00:05 1:00:02:05'],
    ['86400 86448', '86405 86453'],
    ['0086400 0086448', '0086405 0086453'],
  ])('keeps the style of the labels: %s', (from, to) => {
    const text = list(EVENT.replace('01:00:00:00 01:00:02:00', from));
    expect(slipped(text, 0, 86_405, { edlRate: rational(24) })).toBe(text.replace(from, to));
  });

  it('counts drop-frame where the label does: 00:00:59;29 and one is 00:01:00;02 (SMPTE ST 12-1)', () => {
    const text = list('001  R V C 00:00:59;29 00:01:00;29 00:00:00;00 00:00:00;28');
    expect(slipped(text, 0, 1800)).toBe(text.replace('00:00:59;29 00:01:00;29', '00:01:00;02 00:01:01;00'));
    const plain = list('FCM: DROP FRAME', '001  R V C 00:00:59:29 00:01:00:29 00:00:00:00 00:00:00:28');
    expect(slipped(plain, 0, 1800)).toBe(plain.replace('00:00:59:29 00:01:00:29', '00:01:00:02 00:01:01:00'));
  });

  it('moves all channels of the line, since they share its characters', () => {
    const text = list(EVENT.replace(' V ', ' AA/V '));
    for (const clip of [0, 1, 2])
      expect(slipped(text, clip, 86_401)).toBe(text.replace('01:00:00:00 01:00:02:00', '01:00:00:01 01:00:02:01'));
  });

  it('keeps a source span that M2 scales, and the trigger that repeats the source in', () => {
    const text = list(
      EVENT.replace('00:00:02:00', '00:00:01:01'),
      'M2   CAM_A       047.0                01:00:00:00',
      '* FROM CLIP NAME: X',
    );
    expect(slipped(text, 0, 86_403)).toBe(
      text
        .replace('01:00:00:00 01:00:02:00', '01:00:00:03 01:00:02:03')
        .replace('047.0                01:00:00:00', '047.0                01:00:00:03'),
    );
  });

  it('leaves a trigger alone that said something else before', () => {
    const text = list(EVENT, 'M2   CAM_A       047.0                01:00:09:00');
    expect(slipped(text, 0, 86_403)).toBe(text.replace('01:00:00:00 01:00:02:00', '01:00:00:03 01:00:02:03'));
  });

  it('goes back over midnight, out before in as it was', () => {
    const text = list('001  R V C 23:59:59:00 00:00:01:00 00:00:00:00 00:00:02:00');
    expect(slipped(text, 0, 24 * 86_400 - 25)).toBe(text.replace('23:59:59:00 00:00:01:00', '23:59:58:23 00:00:00:23'));
    expect(slipped(text, 0, 24 * 86_400 - 49)).toBe(text.replace('23:59:59:00 00:00:01:00', '23:59:57:23 23:59:59:23'));
  });

  it('in a list of lone CR and one with Ctrl-Z behind', () => {
    const text = `TITLE: X\r${EVENT}\r* c\r\x1a\0\0`;
    expect(slipped(text, 0, 86_401)).toBe(text.replace('01:00:00:00 01:00:02:00', '01:00:00:01 01:00:02:01'));
  });
});

describe('slipping the clip before a dissolve', () => {
  const text = list(
    EVENT,
    '002  CAM_A    V     C        01:00:02:00 01:00:02:00 00:00:02:00 00:00:02:00',
    '002  CAM_B    V     D    010 02:00:00:00 02:00:01:00 00:00:02:00 00:00:03:00',
    'M2   CAM_A       024.0                01:00:02:00',
  );

  it('takes the outgoing line along, which repeats its source out', () => {
    expect(slipped(text, 0, 86_401)).toBe(
      text
        .replace('01:00:00:00 01:00:02:00', '01:00:00:01 01:00:02:01')
        .replace('01:00:02:00 01:00:02:00', '01:00:02:01 01:00:02:01')
        .replace('024.0                01:00:02:00', '024.0                01:00:02:01'),
    );
  });

  it('leaves an outgoing line alone that did not agree before', () => {
    const odd = text.replace('01:00:02:00 01:00:02:00', '01:00:07:00 01:00:07:00');
    expect(slipped(odd, 0, 86_401)).toBe(odd.replace('01:00:00:00 01:00:02:00', '01:00:00:01 01:00:02:01'));
  });

  it('through one of its sound channels does the same', () => {
    const onAll = text.replaceAll(' V ', ' B ').replace('CAM_A    B ', 'CAM_A    AA/V ');
    expect(slipped(onAll, 2, 86_401)).toContain('01:00:02:01 01:00:02:01');
  });

  it('slipping the incoming clip moves its own line only', () => {
    expect(slipped(text, 1, 172_801)).toBe(text.replace('02:00:00:00 02:00:01:00', '02:00:00:01 02:00:01:01'));
  });
});

describe('slips that an EDL cannot hold', () => {
  it.each([
    ['a fraction of a frame', EVENT, '86400.5', 'holds whole frames only'],
    ['before the first label', EVENT, '-1', 'before 00:00:00:00'],
    ['past the last label of the day', EVENT, String(24 * 86_400), 'after the last timecode of the day'],
    ['labels that do not exist', EVENT.replace('01:00:02:00', '01:00:02:30'), '86401', 'do not exist at 24'],
    [
      'a backwards source past zero',
      '001  R V C 00:00:02:00 00:00:00:00 00:00:00:00 00:00:02:00\nM2 R -024.0 00:00:02:00',
      '0',
      'end before 00:00:00:00',
    ],
    ['a bare number past zero', '001  R V C 48 0 0 48\nM2 R -024.0 48', '24', 'end before frame 0'],
  ])('%s', (_, event, count, reason) => {
    expect(slipped(list(event), 0, count, { edlRate: rational(24) })).toContain(`refused: `);
    expect(slipped(list(event), 0, count, { edlRate: rational(24) })).toContain(reason);
  });

  it('a clip that is not there', () => {
    expect(slipped(list(EVENT), 7, 0)).toContain('refused: Nothing in this list says');
  });

  it('a text that has changed since', () => {
    const timeline = readList(list(EVENT));
    const result = edlFormat.editsFor('TITLE: ANOTHER\n', timeline, { kind: 'set-source-start', clip: 0, count: rational(0) });
    expect(result).toEqual({ ok: false, reason: 'The event is not in this text any more.' });
  });

  it('steps are whole frames', () => {
    expect(formatRational(edlFormat.startStep(readList(list(EVENT)), 0) ?? rational(0))).toBe('1');
  });
});

describe('other changes', () => {
  it('a rate is refused: an EDL holds none', () => {
    expect(changed(list(EVENT), { kind: 'set-rate', span: span(0, 1), rate: rational(24) })).toBe(
      'refused: An edit decision list holds no frame rate. Set edlRate in afterclap.json instead.',
    );
  });

  it('characters are replaced as asked, inside the text only', () => {
    expect(changed('FCM: DROP FRAME', { kind: 'replace', span: span(5, 15), newText: 'NON-DROP FRAME' })).toBe(
      'FCM: NON-DROP FRAME',
    );
    expect(changed('FCM', { kind: 'replace', span: span(5, 15), newText: 'x' })).toContain('refused');
  });

  it.each(['\n', '\r\n', '\r'])('an acceptance becomes the last comment of its event, lines ending with %j', (ending) => {
    const lines = [EVENT, '* FROM CLIP NAME: ONE  ', `002${EVENT.slice(3)}`];
    const text = `${lines.join(ending)}${ending}`;
    const accepted = changed(text, { kind: 'accept', clip: 0, code: 'sound-lags', reason: 'as\nagreed' });
    expect(accepted).toBe(`${[lines[0], lines[1], '* AFTERCLAP ACCEPT sound-lags: as agreed', lines[2]].join(ending)}${ending}`);
    expect(readList(accepted).acceptances.map(({ code, reason, clips }) => [code, reason, clips])).toEqual([
      ['sound-lags', 'as agreed', [0]],
    ]);
  });

  it('at the end of a list without a last line ending', () => {
    expect(changed(EVENT, { kind: 'accept', clip: 0, code: 'sound-lags', reason: 'yes' })).toBe(
      `${EVENT}\n* AFTERCLAP ACCEPT sound-lags: yes`,
    );
    expect(changed(`TITLE: X\r\n${EVENT}`, { kind: 'accept', clip: 0, code: 'sound-lags', reason: 'yes' })).toBe(
      `TITLE: X\r\n${EVENT}\r\n* AFTERCLAP ACCEPT sound-lags: yes`,
    );
    expect(changed(`${EVENT}\x1a\0`, { kind: 'accept', clip: 0, code: 'sound-lags', reason: 'yes' })).toBe(
      `${EVENT}\n* AFTERCLAP ACCEPT sound-lags: yes\x1a\0`,
    );
  });
});
