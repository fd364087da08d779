/**
 * The published schema against a reference validator (libxml2's xmllint, compiled to WebAssembly), and our reader against
 * the schema: what the validator refuses, the reader reports, and what it accepts, the reader takes without a word.
 *
 * Source of the validator's rules: W3C XML Schema 1.0 and XML 1.0, as libxml2 implements them.
 */

import { readdirSync, readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { validateXML, type XMLFileInfo } from 'xmllint-wasm';
import { Element } from '../../../server/src/core/formats/xml/timelineVocabulary.ts';
import { changed, readXml, SMALL_CUT } from './xmlSupport.ts';

const root = resolve(import.meta.dirname, '../../..');
const schema = { fileName: 'timeline.xsd', contents: readFileSync(resolve(root, 'syntaxes/timeline.xsd'), 'utf8') };

/** True for each text that the schema accepts. */
async function isValid(texts: readonly string[]): Promise<readonly boolean[]> {
  const xml: XMLFileInfo[] = texts.map((contents, index) => ({ fileName: `cut${index}.xml`, contents }));
  const result = await validateXML({ xml, schema });
  return xml.map(({ fileName }) => new RegExp(`^${fileName} validates$`, 'm').test(result.rawOutput));
}

const dissolve = '<Transition><InOffset>6</InOffset><OutOffset>4</OutOffset></Transition>';
const gap = '<Gap>\n        <SourceDuration>12</SourceDuration>\n      </Gap>';

const VALID: Readonly<Record<string, string>> = {
  'the small cut': SMALL_CUT,
  'any prefix': SMALL_CUT.replace(/<(\/?)(?=[A-Z])/g, '<$1cut:').replace('xmlns=', 'xmlns:cut='),
  'children of a clip in another order': changed(
    '<Name>Quay wide</Name>\n        <TrackFileId>cam-a-07</TrackFileId>',
    '<TrackFileId>cam-a-07</TrackFileId>\n        <Name>Quay wide</Name>',
  ),
  'a transition between clips': changed(gap, dissolve),
  'a transition at each end': changed(
    '<Track kind="Video">',
    `<Track kind="Video">${dissolve}`,
    changed('</Track>', `${dissolve}</Track>`),
  ),
  'metadata everywhere': changed(
    '<Track kind="Video">',
    '<Track kind="Video"><Name>Picture</Name><EditRate>25 1</EditRate><Metadata><Accept code="no-sound">mute</Accept></Metadata>',
    changed(
      '<EntryPoint>24<',
      '<Metadata><Reel>A007</Reel><Accept code="sound-lags">kept</Accept><x:note xmlns:x="urn:example:x"/></Metadata><EntryPoint>24<',
    ),
  ),
  'an empty cut':
    '<Timeline xmlns="urn:afterclap:timeline:1"><ContentTitle/><EditRate>25 1</EditRate><MediaReferences/><Stack/></Timeline>',
  'speeds of both forms': changed(
    '<EntryPoint>24<',
    '<TimeScalar>-0.5</TimeScalar><EntryPoint>24<',
    changed('<EntryPoint>300<', '<TimeScalar>1001/1000</TimeScalar><EntryPoint>300<'),
  ),
  'white space around values': changed('<EntryPoint>24<', '<EntryPoint>\n  24\t<', changed('24000 1001', ' 24000\n1001 ')),
  'foreign attributes': changed('<Stack>', '<Stack xmlns:x="urn:example:x" x:note="1" xml:id="s1">'),
  'a comment inside a number': changed('<EntryPoint>24<', '<EntryPoint>24<!-- by eye --><'),
};

const INVALID: Readonly<Record<string, string>> = {
  'no EditRate': changed('<EditRate>24000 1001</EditRate>\n  <Comp', '<Comp'),
  'no title': changed('<ContentTitle>Harbour, cut 3</ContentTitle>', ''),
  'no media references': SMALL_CUT.replace(/<MediaReferences>[\s\S]*<\/MediaReferences>/, ''),
  'no stack': SMALL_CUT.replace(/<Stack>[\s\S]*<\/Stack>/, ''),
  'a clip without EntryPoint': changed('<EntryPoint>24</EntryPoint>', ''),
  'a clip without SourceDuration': changed('<SourceDuration>48</SourceDuration>', ''),
  'a clip without TrackFileId': changed('<TrackFileId>cam-a-07</TrackFileId>', ''),
  'a gap without a length': changed('<SourceDuration>12</SourceDuration>', ''),
  'a second EntryPoint': changed('<EntryPoint>24</EntryPoint>', '<EntryPoint>24</EntryPoint><EntryPoint>24</EntryPoint>'),
  'a second stack': changed('</Stack>', '</Stack><Stack/>'),
  'a decimal rate': changed('24000 1001', '23.976'),
  'a rate with a slash': changed('24000 1001', '24000/1001'),
  'a rate of one number': changed('24000 1001', '24'),
  'a rate of zero': changed('24000 1001', '0 1001'),
  'a negative rate': changed('24000 1001', '-24000 1001'),
  'a negative EntryPoint': changed('<EntryPoint>24<', '<EntryPoint>-24<'),
  'a signed EntryPoint': changed('<EntryPoint>24<', '<EntryPoint>+24<'),
  'a fractional EntryPoint': changed('<EntryPoint>24<', '<EntryPoint>24.5<'),
  'an EntryPoint of 41 digits': changed('<EntryPoint>24<', `<EntryPoint>${'1'.repeat(41)}<`),
  'an empty EntryPoint': changed('<EntryPoint>24<', '<EntryPoint><'),
  'a speed with an exponent': changed('<EntryPoint>24<', '<TimeScalar>1e1</TimeScalar><EntryPoint>24<'),
  'a speed over zero': changed('<EntryPoint>24<', '<TimeScalar>1/0</TimeScalar><EntryPoint>24<'),
  'a flag that is neither true nor false': changed('enabled="true"', 'enabled="yes"'),
  'a track of no kind': changed(' kind="Audio"', ''),
  'a track of another kind': changed('kind="Audio"', 'kind="Subtitle"'),
  'an unknown attribute': changed('<Gap>', '<Gap enabled="true">'),
  'an unknown element': changed('<Gap>', '<Pause/><Gap>'),
  'a clip outside a track': changed('<Stack>', '<Stack><Clip/>'),
  'a nested stack': changed('<Gap>', '<Stack/><Gap>'),
  'text between elements': changed('<Gap>', 'x<Gap>'),
  'two transitions side by side': changed(gap, dissolve + dissolve),
  'a track name after its clips': changed('</Track>', '<Name>V</Name></Track>'),
  'a track rate after its metadata': changed('<Track kind="Audio">', '<Track kind="Audio"><Metadata/>'),
  'a TrackFileId of no media': changed('<TrackFileId>deck-12', '<TrackFileId>deck-13'),
  'two media of one Id': changed('<Id>deck-12', '<Id>cam-a-07'),
  'media without an Id': changed('<Id>deck-12</Id>', ''),
  'media without a URL': changed('<TargetUrl>DECK_0012.wav</TargetUrl>', ''),
  'an empty URL': changed('DECK_0012.wav', ''),
  'half an AvailableRange': changed('<Duration>4316</Duration>', ''),
  'a label that is no timecode': changed('01:00:00:00', '1 o clock'),
  'a flag that is no boolean': changed('<TimecodeDropFrame>false', '<TimecodeDropFrame>no'),
  'an acceptance without a code': changed('<Stack>', '<Metadata><Accept>why</Accept></Metadata><Stack>'),
  'an acceptance without a reason': changed('<Stack>', '<Metadata><Accept code="no-sound"/></Metadata><Stack>'),
  'a Reel on the timeline': changed('<Stack>', '<Metadata><Reel>A1</Reel></Metadata><Stack>'),
  'an acceptance on media': changed('<TargetUrl>DECK', '<Metadata><Accept code="no-sound">x</Accept></Metadata><TargetUrl>DECK'),
  'an empty Reel': changed('<EntryPoint>24<', '<Metadata><Reel/></Metadata><EntryPoint>24<'),
  'another namespace': changed('timeline:1', 'timeline:2'),
  'no namespace': changed(' xmlns="urn:afterclap:timeline:1"', ''),
  'a lost end tag': changed('</Clip>', ''),
  'a repeated attribute': changed('kind="Audio"', 'kind="Audio" kind="Audio"'),
  'a bare ampersand': changed('Harbour,', 'Harbour &'),
  'an unknown entity': changed('Harbour,', '&harbour;'),
  'a control character': changed('Harbour,', 'Harbour\u0002'),
  'two document elements': `${SMALL_CUT}<Timeline/>`,
  'an element of a foreign prefix that is unbound': changed('<Gap>', '<x:y/><Gap>'),
};

describe('the schema', () => {
  test('accepts good timelines, and so does the reader', async () => {
    const verdicts = await isValid(Object.values(VALID));
    expect(Object.keys(VALID).filter((_, index) => verdicts[index] !== true)).toEqual([]);
    const reported = Object.entries(VALID).filter(([, text]) => readXml(text).observations.length > 0);
    expect(reported.map(([name]) => name)).toEqual([]);
  });

  test('refuses planted errors, and the reader reports each', async () => {
    const verdicts = await isValid(Object.values(INVALID));
    expect(Object.keys(INVALID).filter((_, index) => verdicts[index] !== false)).toEqual([]);
    const silent = Object.entries(INVALID).filter(([, text]) => readXml(text).observations.length === 0);
    expect(silent.map(([name]) => name)).toEqual([]);
  });

  test('refuses and is refused alike when one element is dropped, doubled, renamed or emptied', async () => {
    const mutants = mutantsOf(VALID['metadata everywhere'] as string);
    const verdicts = await isValid(mutants);
    const disagreements = mutants.filter((text, index) => {
      const isAccepted = readXml(text).observations.length === 0;
      return isAccepted !== verdicts[index];
    });
    expect(mutants.length).toBeGreaterThan(150);
    expect(disagreements).toEqual([]);
  });

  test('refuses, and so does the reader, what random damage makes of a cut', async () => {
    // Without the XML declaration, whose encoding the validator judges and a reader of decoded text cannot.
    const whole = (VALID['metadata everywhere'] as string).replace(/^<\?xml.*\?>\n/, '');
    const damage = fc.record({
      at: fc.nat(whole.length),
      length: fc.nat(12),
      patch: fc.constantFrom(
        '',
        ...'<>"&\'=/-:1 x\u0001\u00d7',
        '</',
        '<!--',
        '<Clip>',
        '</Track>',
        ']]>',
        '&amp;',
        '<?p?>',
        '&AMP;',
      ),
    });
    const texts = fc
      .sample(damage, { numRuns: 600, seed: 20_260_101 })
      .map(({ at, length, patch }) => whole.slice(0, at) + patch + whole.slice(at + length));
    const verdicts = await isValid(texts);
    const silent = texts.filter((text, index) => verdicts[index] === false && readXml(text).observations.length === 0);
    expect(verdicts.filter((verdict) => !verdict).length).toBeGreaterThan(300);
    expect(silent).toEqual([]);
  });

  test('names the elements that the reader knows, and documents every one', () => {
    const declared = [...schema.contents.matchAll(/<xs:element name="(\w+)"[^>]*>(\s*<xs:annotation>)?/g)];
    expect([...new Set(declared.map((match) => match[1]))].sort()).toEqual(Object.keys(Element).sort());
    expect(declared.filter((match) => match[2] === undefined).map((match) => match[1])).toEqual([]);
    expect(schema.contents).toContain('source_range.start_time = AvailableRange/StartTime + EntryPoint');
  });

  test('accepts the sample timelines', async () => {
    const folder = resolve(root, 'samples');
    const samples = readdirSync(folder, { recursive: true, encoding: 'utf8' }).filter((name) => name.endsWith('.timeline.xml'));
    const texts = samples.map((name) => readFileSync(resolve(folder, name), 'utf8'));
    expect(await isValid(texts)).toEqual(samples.map(() => true));
  });
});

/** One change per element: without it, twice, under another name, without content. */
function mutantsOf(text: string): readonly string[] {
  const mutants: string[] = [];
  for (const match of text.matchAll(/<([A-Z]\w*)[^>]*>/g)) {
    const name = match[1] as string;
    const start = match.index;
    const endTag = `</${name}>`;
    const end = text.indexOf(endTag, start) + endTag.length;
    const element = text.slice(start, end);
    const without = text.slice(0, start);
    const after = text.slice(end);
    mutants.push(without + after);
    mutants.push(without + element + element + after);
    mutants.push(without + element.replaceAll(name, `${name}s`) + after);
    mutants.push(without + match[0] + endTag + after);
  }
  return mutants;
}
