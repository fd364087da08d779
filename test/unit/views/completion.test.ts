import { describe, expect, it } from 'vitest';
import {
  type Completion,
  type Names,
  reportCompletionAt,
  settingsCompletionAt,
  xmlCompletionAt,
} from '../../../server/src/core/views/completion.ts';
import { edlCompletionAt } from '../../../server/src/core/views/edlCompletion.ts';
import { readMarks } from '../../support/marked.ts';

const choice = (text: string): { text: string; detail: string } => ({ text, detail: '' });
const NAMES: Names = {
  media: [choice('CAM_A.mov'), choice('DECK1'), choice('TWO WORDS.wav')],
  pictures: [choice('cam-a')],
  sounds: [choice('deck-1')],
};

type CompleteAt = (text: string, offset: number, names: Names) => Completion | null;

/** What is replaced, and what is offered; null where nothing is. */
function offered(complete: CompleteAt, marked: string): readonly [typed: string, texts: readonly string[]] | null {
  const { text, caret } = readMarks(marked);
  const found = complete(text, caret, NAMES);
  return found === null ? null : [text.slice(found.span.start, found.span.end), found.choices.map((item) => item.text)];
}

describe('completion in a list', () => {
  const edl: CompleteAt = (text, offset, { media }) => edlCompletionAt(text, offset, media);

  it.each([
    ['001  ¦', '', 'DECK1'],
    ['001  DECK1    A¦', 'A', 'AA/V'],
    ['001  DECK1    A     ¦', '', 'C'],
    ['* SOURCE FILE: CA¦', 'CA', 'CAM_A.mov'],
    ['* SO¦', 'SO', 'SOURCE FILE: '],
    ['* AFTERCLAP ACCEPT sound-¦', 'sound-', 'sound-lags: '],
    ['TITLE: T\nFCM: N¦', 'N', 'NON-DROP FRAME'],
    ['TITLE: T\r\nT¦', 'T', 'TITLE: '],
  ])('%j replaces %j and offers %j', (marked, typed, text) => {
    const found = offered(edl, marked);
    expect(found?.[0]).toBe(typed);
    expect(found?.[1]).toContain(text);
  });

  it('offers no reel with blanks, and nothing among the labels', () => {
    expect(offered(edl, '001  ¦')?.[1]).not.toContain('TWO WORDS.wav');
    expect(offered(edl, '001  DECK1    A     C        00:00:¦')).toBeNull();
  });
});

describe('completion in neutral XML', () => {
  it.each([
    ['<EditRate>24¦</EditRate>', '24', '24000 1001'],
    ['<EditRate>¦', '', '48000 1'],
    ['<TargetUrl>media/C¦</TargetUrl>', 'C', 'CAM_A.mov'],
    ['<ExternalReference><Id>id-1</Id></ExternalReference><TrackFileId>¦', '', 'id-1'],
    ['<Track kind="¦"', '', 'Audio'],
    ['<Clip enabled="f¦"', 'f', 'false'],
  ])('%j replaces %j and offers %j', (marked, typed, text) => {
    const found = offered(xmlCompletionAt, marked);
    expect(found?.[0]).toBe(typed);
    expect(found?.[1]).toContain(text);
  });

  it('offers nothing in other elements', () => {
    expect(offered(xmlCompletionAt, '<EntryPoint>2¦</EntryPoint>')).toBeNull();
  });
});

describe('completion in a report', () => {
  it.each([
    ['"pairs": [{ "picture": "c¦"', 'c', 'cam-a'],
    ['"sound": ¦', '', '"deck-1"'],
    ['"cam-a": { "rate": "¦"', '', '24000/1001'],
    ['"sampleRate": 4¦', '4', '48000'],
    ['"names": ["A.mov", "¦"', '', 'CAM_A.mov'],
    ['"by": "w¦"', 'w', 'waveform'],
  ])('%j replaces %j and offers %j', (marked, typed, text) => {
    const found = offered(reportCompletionAt, marked);
    expect(found?.[0]).toBe(typed);
    expect(found?.[1]).toContain(text);
  });
});

describe('completion in settings', () => {
  it.each([
    ['{ "rules": { "no-¦"', 'no-', 'no-sound'],
    ['{ "rules": { "no-sound": "w¦"', 'w', 'warning'],
    ['{ "rules": { "no-sound": "off", "¦"', '', 'sound-lags'],
    ['{ "accept": [{ "code": "¦"', '', 'sound-lags'],
    ['{ "tolerance": "e¦"', 'e', 'ebu-r37'],
    ['{ "grid": "¦"', '', '1/10f'],
  ])('%j replaces %j and offers %j', (marked, typed, text) => {
    const found = offered((content, offset) => settingsCompletionAt(content, offset), marked);
    expect(found?.[0]).toBe(typed);
    expect(found?.[1]).toContain(text);
  });
});
