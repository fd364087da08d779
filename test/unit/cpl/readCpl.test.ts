/**
 * Composition playlists as timelines: SMPTE ST 2067-3 (XML schema, 2013 and 2016 editions), sequences of ST 2067-2.
 *
 * The documents are written by hand from the schema; the places expected are worked out by hand beside them.
 */

import { describe, expect, it } from 'vitest';
import { formatRational } from '../../../server/src/core/time/rational.ts';
import { auditCpl, changed, PICTURE_FILE, places, REPORT, readCplText, SOUND_FILE, TWO_SEGMENTS, told } from './cplSupport.ts';

describe('a composition playlist', () => {
  it('is read segment by segment, each virtual track through all of them', () => {
    const timeline = readCplText(TWO_SEGMENTS);
    expect(told(timeline)).toEqual([]);
    expect(timeline.name).toBe('Millrace, reel 1');
    expect(formatRational(timeline.rate)).toBe('24000/1001');
    expect(formatRational(timeline.startFrame ?? { numerator: -1, denominator: 1 })).toBe('86400');
    expect(timeline.tracks.map(({ kind, name }) => `${kind} ${name}`)).toEqual(['picture V1', 'sound A1']);
    // 48 frames x 1001/24000 = 1001/500 s; 24 frames from 24 on start at 1001/1000 s of the file; 96096 / 48000 = 1001/500 s.
    expect(places(timeline)).toEqual([
      'V1 0 to 1001/500 from 1001/1000',
      'A1 0 to 1001/500 from 1001/1000',
      'V1 1001/500 to 3003/1000 from 1001/240',
      'A1 1001/500 to 3003/1000 from 1001/240',
    ]);
    expect(formatRational(timeline.duration)).toBe('3003/1000');
  });

  it('names clips by annotation, else by the file of the asset map, else by identifier', () => {
    const bare = readCplText(TWO_SEGMENTS);
    expect(bare.clips.map(({ name }) => name)).toEqual([PICTURE_FILE, SOUND_FILE, 'Weir, close', SOUND_FILE]);
    const named = readCplText(TWO_SEGMENTS, new Map([[SOUND_FILE, 'audio/DECK%200001.mxf']]));
    expect(named.clips.map(({ name }) => name)).toEqual([PICTURE_FILE, 'DECK 0001.mxf', 'Weir, close', 'DECK 0001.mxf']);
    expect(named.clips.map(({ media }) => media.url)).toEqual([null, 'audio/DECK%200001.mxf', null, 'audio/DECK%200001.mxf']);
  });

  it('is audited like any other timeline, by file names or by identifiers', () => {
    const byIdentifier = auditCpl(TWO_SEGMENTS);
    expect(byIdentifier.comparisons.map(({ verdict }) => verdict)).toEqual(['in', 'in']);
    expect(byIdentifier.findings).toEqual([]);

    const byFile = {
      ...REPORT,
      pictures: { 'cam-a': { names: ['CAM_A_0001.mxf'], rate: '24000/1001', frames: 240 } },
      sounds: { deck: { names: ['DECK_0001.mxf'], sampleRate: 48000, samples: 480480 } },
    };
    expect(auditCpl(TWO_SEGMENTS, byFile).comparisons).toEqual([]);
    const assets = new Map([
      [PICTURE_FILE, 'CAM_A_0001.mxf'],
      [SOUND_FILE, 'DECK_0001.mxf'],
    ]);
    expect(auditCpl(TWO_SEGMENTS, byFile, assets).comparisons.map(({ verdict }) => verdict)).toEqual(['in', 'in']);
  });

  it('finds a sound that leads on the digits of its EntryPoint', () => {
    // One frame of 24000/1001 more sound: 48048 + 2002.
    const text = changed('<EntryPoint>48048</EntryPoint>', '<EntryPoint>50050</EntryPoint>');
    const result = auditCpl(text);
    const [finding] = result.findings;
    expect(result.findings.map(({ code }) => code)).toEqual(['sound-leads']);
    expect(text.slice(finding?.place.span.start, finding?.place.span.end)).toBe('50050');
  });
});

describe('counts in a playlist', () => {
  it('are of the resource’s own EditRate, a unit that says nothing of the file', () => {
    // The trap: sound of a 48 kHz file counted in frames. 24 frames are 48048 samples.
    const inFrames = changed(
      `<EditRate>48000 1</EditRate>
              <IntrinsicDuration>480480</IntrinsicDuration>
              <EntryPoint>48048</EntryPoint>
              <SourceDuration>96096</SourceDuration>`,
      `<EditRate>24000 1001</EditRate>
              <IntrinsicDuration>240</IntrinsicDuration>
              <EntryPoint>24</EntryPoint>
              <SourceDuration>48</SourceDuration>`,
    );
    expect(places(readCplText(inFrames))).toEqual(places(readCplText(TWO_SEGMENTS)));
    expect(auditCpl(inFrames).findings).toEqual([]);
    // Counted at 96000 a second: the file still has 48000, and nothing is wrong.
    const finer = changed(
      `<EditRate>48000 1</EditRate>
              <IntrinsicDuration>480480</IntrinsicDuration>
              <EntryPoint>48048</EntryPoint>
              <SourceDuration>96096</SourceDuration>`,
      `<EditRate>96000 1</EditRate>
              <IntrinsicDuration>960960</IntrinsicDuration>
              <EntryPoint>96096</EntryPoint>
              <SourceDuration>192192</SourceDuration>`,
    );
    expect(auditCpl(finer).findings).toEqual([]);
  });

  it('have the defaults of the schema: EntryPoint 0, SourceDuration to the end of the file, RepeatCount 1', () => {
    const text = changed(
      `<EntryPoint>24</EntryPoint>
              <SourceDuration>48</SourceDuration>`,
      '',
      changed('<IntrinsicDuration>240</IntrinsicDuration>', '<IntrinsicDuration>48</IntrinsicDuration>'),
    );
    expect(told(readCplText(text))).toEqual([]);
    expect(places(readCplText(text))[0]).toBe('V1 0 to 1001/500 from 0');
  });

  it('are multiplied by RepeatCount: each time is a clip, all on the same characters', () => {
    const text = changed(
      `<EntryPoint>24</EntryPoint>
              <SourceDuration>48</SourceDuration>`,
      `<EntryPoint>24</EntryPoint>
              <SourceDuration>16</SourceDuration>
              <RepeatCount>3</RepeatCount>`,
    );
    const timeline = readCplText(text);
    expect(told(timeline)).toEqual([]);
    expect(places(timeline).slice(0, 3)).toEqual([
      'V1 0 to 1001/1500 from 1001/1000',
      'V1 1001/1500 to 1001/750 from 1001/1000',
      'V1 1001/750 to 1001/500 from 1001/1000',
    ]);
    expect(new Set(timeline.clips.slice(0, 3).map(({ textGroup }) => textGroup)).size).toBe(1);
  });

  it('that repeat without end are cut short and say so, and what follows keeps its place', () => {
    const text = changed(
      '<SourceDuration>24</SourceDuration>',
      '<SourceDuration>24</SourceDuration><RepeatCount>9000000000000000000000</RepeatCount>',
    );
    const timeline = readCplText(text);
    expect(timeline.clips.length).toBe(1000 + 3);
    expect(told(timeline).filter((line) => line.startsWith('limit'))).toEqual([
      'limit: This Resource is repeated 9000000000000000000000 times; only the first 1000 are looked at. What follows it keeps its place.',
    ]);
  });

  it('may name a start timecode with any of the separators of the schema', () => {
    for (const address of ['01/00/00/00', '01;00;00;00', '01.00,00+00', '01-00-00-00']) {
      const timeline = readCplText(changed('>01:00:00:00<', `>${address}<`));
      expect([address, told(timeline), timeline.startFrame]).toEqual([address, [], { numerator: 86400, denominator: 1 }]);
    }
  });
});

describe('namespaces', () => {
  it('of the 2013 edition and of the 2020 constraints mean the same, under any prefix', () => {
    const older = TWO_SEGMENTS.replaceAll('/2067-3/2016', '/2067-3/2013').replaceAll('/2067-2/2016', '/2067-2/2013');
    expect(places(readCplText(older))).toEqual(places(readCplText(TWO_SEGMENTS)));
    expect(told(readCplText(older))).toEqual([]);
    const newer = TWO_SEGMENTS.replaceAll('schemas/2067-2/2016', 'ns/2067-2/2020')
      .replaceAll('cc:', 'any:')
      .replace('xmlns:cc', 'xmlns:any');
    expect(places(readCplText(newer))).toEqual(places(readCplText(TWO_SEGMENTS)));
    expect(told(readCplText(newer))).toEqual([]);
    const prefixed = TWO_SEGMENTS.replace('xmlns="', 'xmlns:p="').replace(/<(\/?)(?=[A-Z])/g, '<$1p:');
    expect(places(readCplText(prefixed))).toEqual(places(readCplText(TWO_SEGMENTS)));
    expect(told(readCplText(prefixed))).toEqual([]);
  });

  it('with a placeholder for the year are read, with a warning on the namespace', () => {
    const text = TWO_SEGMENTS.replace('/2067-2/2016', '/2067-2/XXXX');
    const result = auditCpl(text);
    expect(result.comparisons.length).toBe(2);
    expect(
      result.findings.map(({ code, severity, place }) => [code, severity, text.slice(place.span.start, place.span.end)]),
    ).toEqual([['unreadable', 'warning', 'http://www.smpte-ra.org/schemas/2067-2/XXXX']]);
    expect(result.findings[0]?.message).toContain("'XXXX' where a published edition has its year (2013, 2016, 2020)");
  });

  it('of digital cinema are told by name and not read', () => {
    const cinema = `<?xml version="1.0"?>
<CompositionPlaylist xmlns="http://www.smpte-ra.org/schemas/429-7/2006/CPL"><Id>urn:uuid:1</Id><ReelList/></CompositionPlaylist>`;
    const timeline = readCplText(cinema);
    expect(timeline.clips).toEqual([]);
    expect(told(timeline)).toEqual([expect.stringContaining('SMPTE ST 429-7')]);
  });

  it('of others are skipped without a word, in the list of sequences too', () => {
    const text = changed(
      '</SequenceList>',
      '<o:TrackSequence xmlns:o="urn:example:other"><o:Resource>1</o:Resource></o:TrackSequence></SequenceList>',
    );
    expect(told(readCplText(text))).toEqual([]);
    expect(places(readCplText(text))).toEqual(places(readCplText(TWO_SEGMENTS)));
  });
});

describe('what breaks the rules of ST 2067-3', () => {
  it('is told: a segment whose sequences differ in length puts what follows in doubt', () => {
    const text = changed('<SourceDuration>96096</SourceDuration>', '<SourceDuration>94094</SourceDuration>');
    const timeline = readCplText(text);
    expect(told(timeline)).toEqual([
      'unreadable: A1 is 1 edit unit shorter than V1 in segment 1. Expected: all sequences of a segment have one length, or the next segment starts at another instant for each player.',
    ]);
    expect(timeline.clips.map(({ doubt }) => doubt)).toEqual([
      null,
      null,
      'the sequences of a segment before it differ in length',
      'the sequences of a segment before it differ in length',
    ]);
  });

  it('is told: less than an edit unit too, without the doubt', () => {
    const timeline = readCplText(changed('<SourceDuration>96096</SourceDuration>', '<SourceDuration>96095</SourceDuration>'));
    expect(told(timeline)).toEqual([expect.stringContaining('A1 is 0.0004 edit units shorter than V1')]);
    expect(timeline.clips.every(({ doubt }) => doubt === null)).toBe(true);
  });

  it('is told: one TrackId twice in a segment', () => {
    const text = changed('0000000000f2</TrackId>', '0000000000f1</TrackId>')
      .replace('cc:MainAudioSequence>', 'cc:MainImageSequence>')
      .replace('</cc:MainAudioSequence>', '</cc:MainImageSequence>');
    expect(told(readCplText(text))).toContainEqual(expect.stringContaining('A second sequence of segment 1 has the TrackId'));
  });

  it('is told: no TrackFileId, no length, a RepeatCount of 0', () => {
    const text = changed(`<TrackFileId>${PICTURE_FILE}</TrackFileId>`, '<RepeatCount>0</RepeatCount>');
    expect(told(readCplText(text))).toEqual([
      expect.stringContaining('This Resource has no TrackFileId'),
      expect.stringContaining('RepeatCount is 0'),
    ]);
    const lost = readCplText(changed('<SourceDuration>48</SourceDuration>', '<SourceDuration>many</SourceDuration>'));
    expect(told(lost)).toEqual([expect.stringContaining("SourceDuration is 'many'")]);
    // The picture of the second segment can no longer be placed.
    expect(lost.clips.map(({ name, doubt }) => [name, doubt !== null])).toEqual([
      [SOUND_FILE, false],
      ['Weir, close', true],
      [SOUND_FILE, true],
    ]);
  });

  it('is told: a stereoscopic resource keeps its place, and which files it shows is not read', () => {
    const text = changed(
      `<TrackFileId>${PICTURE_FILE}</TrackFileId>`,
      `<cc:LeftEye><TrackFileId>${PICTURE_FILE}</TrackFileId></cc:LeftEye><cc:RightEye><TrackFileId>${PICTURE_FILE}</TrackFileId></cc:RightEye>`,
    );
    const timeline = readCplText(text);
    expect(told(timeline)).toEqual([expect.stringContaining('a file for each eye')]);
    expect(places(timeline)).toEqual(places(readCplText(TWO_SEGMENTS)));
  });

  it('leaves other sequences on tracks that are neither picture nor sound, and markers out', () => {
    const text = changed(
      '<SequenceList>',
      '<SequenceList><MarkerSequence><Id>urn:uuid:1</Id><TrackId>urn:uuid:2</TrackId><ResourceList><Resource><Id>urn:uuid:3</Id><Marker><Label>FFOC</Label><Offset>0</Offset></Marker></Resource></ResourceList></MarkerSequence>',
    ).replace(/<cc:MainAudioSequence>([\s\S]*?)<\/cc:MainAudioSequence>/, '<cc:CommentarySequence>$1</cc:CommentarySequence>');
    const timeline = readCplText(text);
    expect(told(timeline)).toEqual([]);
    expect(timeline.tracks.map(({ kind, name }) => `${kind} ${name}`)).toEqual(['picture V1', 'other T1', 'sound A1']);
  });
});
