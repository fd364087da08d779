import { describe, expect, it } from 'vitest';
import {
  EDIT,
  EVENT_ROW,
  LABEL,
  LINE,
  labelSpan,
  lineKind,
  lineSpan,
  valueSpan,
} from '../../../server/src/core/syntax/edl/edlTape.ts';
import { scanEdl } from '../../../server/src/core/syntax/edl/scanEdl.ts';
import { textOf } from '../../../server/src/core/text/span.ts';

const NAMES = Object.fromEntries(Object.entries(LINE).map(([name, kind]) => [kind, name]));

/** Each line as `kind: value`; an event as its fields, divided by bars. */
function linesOf(text: string): readonly string[] {
  const tape = scanEdl(text);
  let event = -1;
  return Array.from({ length: tape.lineCount }, (_, line) => {
    const kind = lineKind(tape, line);
    if (kind !== LINE.event) return `${NAMES[kind]}: ${textOf(text, valueSpan(tape, line))}`;
    event += 1;
    return eventFields(text, event).join('|');
  });
}

function eventFields(text: string, event: number): readonly string[] {
  const tape = scanEdl(text);
  const row = event * EVENT_ROW.size;
  const word = (start: number, end: number): string => text.slice(tape.events[row + start], tape.events[row + end]);
  const duration = tape.events[row + EVENT_ROW.duration] as number;
  return [
    word(EVENT_ROW.start, EVENT_ROW.numberEnd),
    word(EVENT_ROW.reelStart, EVENT_ROW.reelEnd),
    word(EVENT_ROW.channelStart, EVENT_ROW.channelEnd),
    `${word(EVENT_ROW.typeStart, EVENT_ROW.typeEnd)}${duration < 0 ? '' : ` ${duration}`}`,
    ...Object.values(LABEL).map((label) => textOf(text, labelSpan(tape, event, label))),
  ];
}

const TIMES = '01:00:00:00 01:00:01:00 00:00:00:00 00:00:01:00';
const FOUR = '01:00:00:00|01:00:01:00|00:00:00:00|00:00:01:00';

describe('event lines', () => {
  it.each([
    // The classic columns (from memory): number 1-3, reel 6-13, channels 15-19, type 21-24, length 26-28, times from 30 on.
    [`001  CAM_A    V     C        ${TIMES}`, `001|CAM_A|V|C|${FOUR}`],
    [`001  CAM_A    V     D    024 ${TIMES}`, `001|CAM_A|V|D 24|${FOUR}`],
    [`001  CAM_A    V     W001 030 ${TIMES}`, `001|CAM_A|V|W001 30|${FOUR}`],
    [`001  CAM_A    V     W 001 030 ${TIMES}`, `001|CAM_A|V|W 30|${FOUR}`],
    [`001  CAM_A    V     K B      ${TIMES}`, `001|CAM_A|V|K B|${FOUR}`],
    [`001  CAM_A    V     KB       ${TIMES}`, `001|CAM_A|V|KB|${FOUR}`],
    [`001  CAM_A    V     K    010 ${TIMES}`, `001|CAM_A|V|K 10|${FOUR}`],
    [`001  CAM_A    V     K 010(F) ${TIMES}`, `001|CAM_A|V|K 10|${FOUR}`],
    [`001  CAM_A    V     K 010 (F) ${TIMES}`, `001|CAM_A|V|K 10|${FOUR}`],
    [`001  CAM_A    V     KO   010 ${TIMES}`, `001|CAM_A|V|KO 10|${FOUR}`],
    [`001  CAM_A    V     K O  010 ${TIMES}`, `001|CAM_A|V|K O 10|${FOUR}`],
    [`001\tCAM_A\tV\tC\t${TIMES.replaceAll(' ', '\t')}`, `001|CAM_A|V|C|${FOUR}`],
    [`  001 cam_a v c ${TIMES}`, `001|cam_a|v|c|${FOUR}`],
    [`001  CAM_A    V     C        ${TIMES} and trailing text`, `001|CAM_A|V|C|${FOUR}`],
    [`000127 CAM_A    V     C        ${TIMES}`, `000127|CAM_A|V|C|${FOUR}`],
    [`1 CAM_A V C ${TIMES}`, `1|CAM_A|V|C|${FOUR}`],
    [`001  A VERY LONG REEL C V     C        ${TIMES}`, `001|A VERY LONG REEL C|V|C|${FOUR}`],
    [
      `001  REEL_NAME_OF_MORE_THAN_THIRTY_TWO_CHARACTERS_123456 AA/V  C        ${TIMES}`,
      `001|REEL_NAME_OF_MORE_THAN_THIRTY_TWO_CHARACTERS_123456|AA/V|C|${FOUR}`,
    ],
    [`001  V C ${TIMES}`, `001||V|C|${FOUR}`],
    ['001  CAM_A V C 100 200 0 100', '001|CAM_A|V|C|100|200|0|100'],
    ['001  CAM_A V D 010 100 200 0 100', '001|CAM_A|V|D 10|100|200|0|100'],
    ['001  CAM_A V W 001 010 100 200 0 100', '001|CAM_A|V|W 10|100|200|0|100'],
    ['001  CAM_A V C 100 200 0 100 7', '001|CAM_A|V|C|100|200|0|100'],
    [`001  CAM_A V C 000 ${TIMES}`, `001|CAM_A|V|C|${FOUR}`],
    ['001  123 A C 0 24 0 24', '001|123|A|C|0|24|0|24'],
    [
      '001  CAM_A V C 1:00:00:00 01;00;01;00 00:00:00.00 00:00:01,00',
      '001|CAM_A|V|C|1:00:00:00|01;00;01;00|00:00:00.00|00:00:01,00',
    ],
    [`001  CAM\ufffdA V C ${TIMES}`, `001|CAM\ufffdA|V|C|${FOUR}`],
  ])('%j', (text, fields) => {
    expect(linesOf(text)).toEqual([fields]);
  });

  it('an unknown edit type is kept, and its field known', () => {
    const text = `001  CAM_A V X ${TIMES}`;
    expect(linesOf(text)).toEqual([`001|CAM_A|V|X|${FOUR}`]);
    expect(scanEdl(text).events[EVENT_ROW.type]).toBe(EDIT.unknown);
  });

  it('a missing edit type leaves the channel where it is', () => {
    expect(linesOf(`001  CAM_A AA/V ${TIMES}`)).toEqual([`001|CAM_A|AA/V||${FOUR}`]);
  });
});

describe('lines that are no events', () => {
  it('are told apart', () => {
    const text = [
      'A free header of 25 words',
      '3 reels in all',
      'TITLE:   DAY ONE ',
      'FCM: NON-DROP FRAME',
      '',
      `001  CAM_A V C ${TIMES}`,
      'M2   CAM_A       048.0                01:00:00:00',
      'AUD  3    4',
      '* FROM CLIP NAME:  one',
      'FROM CLIP NAME: two',
      '**  From  Clip   Name three',
      '* FROM CLIP NAMES: none',
      '* TO CLIP NAME: in',
      '* KEY CLIP NAME: over',
      '* FROM CLIP: /a/b.mov',
      '* FROM FILE: b.mov',
      '* TO CLIP: c',
      '* TO FILE: c.mov',
      '* SOURCE FILE: d.wav',
      '* REEL CAM_A IS e.mov',
      '* LOC: 01:00:00:12 RED look here',
      '* LOCATION: the yard',
      '* ASC_SOP (1 1 1)(0 0 0)(1 1 1)',
      '* ASC_SAT 0.9',
      '* * FREEZE FRAME',
      '* EFFECTS NAME IS SOFT EDGE',
      '* AUDIO LEVEL AT 01:00:00:00 IS -3 DB',
      '* BLEND, DISSOLVE',
      '* AFTERCLAP ACCEPT sound-lags: far away on purpose',
      'GPI  1',
      '>>> SOURCE x',
      'SPLIT:    AUDIO DELAY=  00:00:02:00',
      'words of a person',
      '7 takes printed',
    ].join('\n');
    expect(linesOf(text)).toEqual([
      'header: A free header of 25 words',
      'header: 3 reels in all',
      'title: DAY ONE',
      'frameCodeMode: NON-DROP FRAME',
      `001|CAM_A|V|C|${FOUR}`,
      'motion: CAM_A       048.0                01:00:00:00',
      'addedSound: 3    4',
      'fromClipName: one',
      'fromClipName: two',
      'fromClipName: three',
      // Not the keyword but a longer word that begins with it: the shorter keyword FROM CLIP stands there.
      'fromClip: NAMES: none',
      'toClipName: in',
      'keyClipName: over',
      'fromClip: /a/b.mov',
      'fromFile: b.mov',
      'toClip: c',
      'toFile: c.mov',
      'sourceFile: d.wav',
      'reelFile: CAM_A IS e.mov',
      'locator: 01:00:00:12 RED look here',
      'comment: LOCATION: the yard',
      'colour: (1 1 1)(0 0 0)(1 1 1)',
      'colour: 0.9',
      'freezeFrame: ',
      'effectName: SOFT EDGE',
      'comment: AUDIO LEVEL AT 01:00:00:00 IS -3 DB',
      'comment: BLEND, DISSOLVE',
      'acceptance: sound-lags: far away on purpose',
      'control: 1',
      'control: >>> SOURCE x',
      'split: AUDIO DELAY=  00:00:02:00',
      'comment: words of a person',
      'comment: 7 takes printed',
    ]);
    expect(scanEdl(text).problems).toEqual([]);
  });
});

describe('the ends of lines and of the list', () => {
  const lines = ['TITLE: X', `001  CAM_A V C ${TIMES}`, '* FROM CLIP NAME: one'];

  it.each(['\n', '\r\n', '\r', '\n\n', '\r\r\n'])('lines end with %j', (ending) => {
    expect(linesOf(lines.join(ending))).toEqual(['title: X', `001|CAM_A|V|C|${FOUR}`, 'fromClipName: one']);
  });

  it('mixed endings in one list, and padding after fields', () => {
    expect(linesOf(`${lines[0]}\r${lines[1]} \0\0\r\n${lines[2]}\t \n`)).toHaveLength(3);
  });

  it('a byte order mark is no part of the first line', () => {
    expect(linesOf(`\ufeff${lines.join('\n')}`)[0]).toBe('title: X');
  });

  it('Ctrl-Z and padding end an old list without a word', () => {
    const text = `${lines.join('\r\n')}\r\n\x1a\x1a\0\0\0`;
    expect(linesOf(text)).toHaveLength(3);
    expect(scanEdl(text).problems).toEqual([]);
  });

  it('text after Ctrl-Z is not read, and that is said', () => {
    const text = `${lines.join('\n')}\n\x1a\n002  CAM_A V C ${TIMES}`;
    expect(scanEdl(text).eventCount).toBe(1);
    expect(scanEdl(text).problems.map(({ span, message }) => [textOf(text, span), message])).toEqual([
      [`002  CAM_A V C ${TIMES}`, expect.stringContaining('62 characters after it are not read')],
    ]);
  });

  it('spans of lines leave blanks out', () => {
    const text = '  TITLE:  X  \n';
    const tape = scanEdl(text);
    expect(textOf(text, lineSpan(tape, 0))).toBe('TITLE:  X');
    expect(textOf(text, valueSpan(tape, 0))).toBe('X');
  });
});

describe('broken events', () => {
  const problemOf = (line: string): readonly string[] => {
    const text = `001  CAM_A V C ${TIMES}\n${line}`;
    return scanEdl(text).problems.map(({ span, message }) => `${textOf(text, span)} >> ${message}`);
  };

  it.each([
    ['002  CAM_A V C 01:00:00:00 01:00', /^01:00 >> '01:00' is not a timecode/],
    ['002  CAM_A V C 01:00:00:00 01:00:01:0x 00:00:00:00 00:00:01:00', /^01:00:01:0x >> '01:00:01:0x' is not a timecode/],
    ['002  CAM_A V C 01:00:00:00 01:00:01:00', /^002 .*only 2 of its four times/],
    ['002  CAM_A', /^002 {2}CAM_A >> .*no times/],
    ['002', /^002 >> .*no times/],
    ['CAM_A V C 01:00:00:00 01:00:01:00 00:00:00:00 00:00:01:00', /^CAM_A .*does not begin with an event number/],
  ])('%s', (line, expected) => {
    expect(problemOf(line)).toEqual([expect.stringMatching(expected)]);
  });

  it('do not hide the rest', () => {
    const text = `001  CAM_A V C ${TIMES}\n002  CAM_A V C 01:00:00:00\n003  CAM_A V C ${TIMES}\n`;
    expect(scanEdl(text).eventCount).toBe(2);
    expect(scanEdl(text).problems).toHaveLength(1);
  });
});

describe('hostile input', () => {
  it.each([
    ['a field of ten thousand channel letters', `001 R ${'A'.repeat(10_000)} C ${TIMES}`],
    ['a thousand words', `001 ${'x '.repeat(1000)}V C ${TIMES}`],
    ['a million blanks', ' '.repeat(1_000_000)],
    ['a million digits', '1'.repeat(1_000_000)],
    ['a comment of a million blanks', `* REEL${' '.repeat(1_000_000)}x`],
    ['control characters', Array.from({ length: 32 }, (_, code) => String.fromCharCode(code)).join('')],
  ])('%s is read in no time', (_, text) => {
    expect(scanEdl(text).lineCount).toBeLessThan(5);
  });
});
