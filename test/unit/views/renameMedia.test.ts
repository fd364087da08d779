import { describe, expect, it } from 'vitest';
import { readReport } from '../../../server/src/core/alignment/readReport.ts';
import { applyEdits } from '../../../server/src/core/text/textEdit.ts';
import {
  type NamePlace,
  nameAt,
  nameTrouble,
  renameIn,
  reportNames,
  timelineNames,
} from '../../../server/src/core/views/renameMedia.ts';
import { auditMarked, readMarks, SMALL_EDL, SMALL_REPORT } from '../../support/marked.ts';

function otio(url: string): string {
  return JSON.stringify({
    OTIO_SCHEMA: 'Timeline.1',
    name: 't',
    tracks: {
      OTIO_SCHEMA: 'Stack.1',
      children: [
        {
          OTIO_SCHEMA: 'Track.1',
          kind: 'Audio',
          children: [
            {
              OTIO_SCHEMA: 'Clip.2',
              name: 'shot',
              source_range: {
                OTIO_SCHEMA: 'TimeRange.1',
                start_time: { OTIO_SCHEMA: 'RationalTime.1', rate: 25, value: 0 },
                duration: { OTIO_SCHEMA: 'RationalTime.1', rate: 25, value: 25 },
              },
              media_references: { DEFAULT_MEDIA: { OTIO_SCHEMA: 'ExternalReference.1', target_url: url } },
              active_media_reference_key: 'DEFAULT_MEDIA',
            },
          ],
        },
      ],
    },
  });
}

const names = (places: readonly NamePlace[]): readonly string[] => places.map(({ name }) => name);

describe('renaming media', () => {
  it('changes the reel of every event, and no other character', () => {
    const { text, caret } = readMarks(SMALL_EDL.replace('DECK1', 'DE¦CK1'));
    const places = timelineNames(auditMarked('edl', text));
    const { edits, unsure } = renameIn(places, nameAt(places, caret)?.name ?? '', 'DECK9');
    expect(unsure).toEqual([]);
    expect(applyEdits(text, edits)).toBe(text.replaceAll('DECK1', 'DECK9'));
  });

  it('changes key, names and pairs of a report where they are called alike', () => {
    const text = SMALL_REPORT.replaceAll('"deck-1"', '"DECK_1.wav"');
    const { edits } = renameIn(reportNames(readReport('day1.alignment.json', text)), 'deck_1.WAV', 'DECK_2 "new".wav');
    expect(edits).toHaveLength(3);
    expect(applyEdits(text, edits)).toBe(text.replaceAll('DECK_1.wav', 'DECK_2 \\"new\\".wav'));
  });

  it.each([
    ['media/A 1.wav', 'media/B & 2.wav'],
    ['file:///cards/A%201.wav', 'file:///cards/B%20%26%202.wav'],
  ])('keeps the folder and the spelling of %s', (before, after) => {
    const text = otio(before);
    const { edits } = renameIn(timelineNames(auditMarked('otio', text)), 'a 1.wav', 'B & 2.wav');
    expect(applyEdits(text, edits)).toBe(otio(after));
  });

  it('is unsure of a spelling that it could not write back, and of a reel with blanks', () => {
    const text = otio('media/A_1.wav').replace('A_1.wav', 'A\\u005f1.wav');
    const places = timelineNames(auditMarked('otio', text));
    expect(names(places)).toEqual(['A_1.wav']);
    expect(renameIn(places, 'A_1.wav', 'B.wav')).toMatchObject({ edits: [], unsure: [{}] });
    expect(renameIn(timelineNames(auditMarked('edl', SMALL_EDL)), 'DECK1', 'TWO WORDS').unsure).toHaveLength(3);
  });

  it.each([
    ['', 'empty'],
    ['a/b', 'slash'],
    ['a\nb', 'line break'],
  ])('refuses %j', (name, why) => {
    expect(nameTrouble(name)).toContain(why);
    expect(nameTrouble('CAM 1.mov')).toBeNull();
  });
});
