/**
 * Changes as text edits: only the characters that carry the change, everything else byte for byte.
 */

import { describe, expect, test } from 'vitest';
import type { Change } from '../../../server/src/core/formats/timelineFormat.ts';
import { xmlFormat } from '../../../server/src/core/formats/xml/xmlFormat.ts';
import { applyEdits } from '../../../server/src/core/text/textEdit.ts';
import { formatRational, rational } from '../../../server/src/core/time/rational.ts';
import { changed, readXml, SMALL_CUT } from './xmlSupport.ts';

/** The text after `change`, or the reason why it cannot be made. */
function edited(change: Change, text: string = SMALL_CUT): string {
  const result = xmlFormat.editsFor(text, readXml(text), change);
  return result.ok ? (applyEdits(text, result.edits) ?? 'edits overlap') : result.reason;
}

describe('a new start', () => {
  const start = (clip: number, count: number): Change => ({ kind: 'set-source-start', clip, count: rational(count) });

  test('replaces the digits of EntryPoint and nothing else', () => {
    expect(edited(start(0, 25))).toBe(changed('<EntryPoint>24<', '<EntryPoint>25<'));
    expect(edited(start(2, 48050))).toBe(changed('>48048<', '>48050<'));
    expect(edited(start(0, 0))).toBe(changed('<EntryPoint>24<', '<EntryPoint>0<'));
  });

  test('keeps comments and white space around the number', () => {
    const text = changed('<EntryPoint>24<', '<EntryPoint> <!-- by eye --> 24 <');
    expect(edited(start(0, 25), text)).toBe(changed('<EntryPoint>24<', '<EntryPoint> <!-- by eye --> 25 <'));
  });

  test('keeps the width of a number with leading zeros', () => {
    expect(edited(start(0, 25), changed('<EntryPoint>24<', '<EntryPoint>0024<'))).toBe(
      changed('<EntryPoint>24<', '<EntryPoint>0025<'),
    );
  });

  test('puts a whole number in the place of a fraction', () => {
    expect(edited(start(0, 24), changed('<EntryPoint>24<', '<EntryPoint>24.5<'))).toBe(SMALL_CUT);
  });

  test('is refused between units, before the file, without a number, and inside broken-up digits', () => {
    const half: Change = { kind: 'set-source-start', clip: 0, count: rational(49, 2) };
    expect(edited(half)).toMatch(/whole edit units only; 49\/2 lies between two/);
    expect(edited(start(0, -1))).toMatch(/before the first frame or sample/);
    expect(edited(start(0, 25), changed('<EntryPoint>24</EntryPoint>', ''))).toMatch(/no readable EntryPoint/);
    expect(edited(start(0, 25), changed('<EntryPoint>24<', '<EntryPoint>2&#52;<'))).toMatch(/broken up/);
    expect(edited(start(9, 25))).toMatch(/no readable EntryPoint/);
  });

  test('goes in steps of one unit', () => {
    const timeline = readXml(SMALL_CUT);
    const steps = timeline.clips.map((clip) => xmlFormat.startStep(timeline, clip.index));
    expect(steps.map((step) => (step === null ? null : formatRational(step)))).toEqual(['1', '1', '1']);
  });
});

describe('a new rate', () => {
  test('is written as two whole numbers', () => {
    const { rateSpan } = readXml(SMALL_CUT);
    if (rateSpan === null) throw new Error('the cut states its rate');
    const text = edited({ kind: 'set-rate', span: rateSpan, rate: rational(25) });
    expect(text).toBe(changed('24000 1001', '25 1'));
    const spelled = changed('24000 1001', '23.976');
    const at = spelled.indexOf('23.976');
    const fixed = edited({ kind: 'set-rate', span: { start: at, end: at + 6 }, rate: rational(24000, 1001) }, spelled);
    expect(fixed).toBe(SMALL_CUT);
  });

  test('in TimecodeRate is the whole number that labels count to', () => {
    const at = SMALL_CUT.indexOf('24</TimecodeRate>');
    const text = edited({ kind: 'set-rate', span: { start: at, end: at + 2 }, rate: rational(30000, 1001) });
    expect(text).toBe(changed('24</TimecodeRate>', '30</TimecodeRate>'));
  });

  test('is refused where no rate stands', () => {
    const at = SMALL_CUT.indexOf('Harbour');
    expect(edited({ kind: 'set-rate', span: { start: at, end: at + 7 }, rate: rational(25) })).toMatch(/No EditRate/);
    expect(edited({ kind: 'set-rate', span: { start: -1, end: 9e9 }, rate: rational(25) })).toMatch(/outside the text/);
  });
});

describe('a replacement', () => {
  test('touches its span only', () => {
    const at = SMALL_CUT.indexOf('01:00:00:00');
    const text = edited({ kind: 'replace', span: { start: at, end: at + 11 }, newText: '10:00:00:00' });
    expect(text).toBe(changed('01:00:00:00', '10:00:00:00'));
  });
});

describe('an acceptance', () => {
  const accept = (clip: number, code = 'sound-lags', reason = 'kept'): Change => ({ kind: 'accept', clip, code, reason });

  test('makes Metadata at the end of the clip, indented as the file is', () => {
    expect(edited(accept(1))).toBe(
      changed(
        '<SourceDuration>24</SourceDuration>\n',
        '<SourceDuration>24</SourceDuration>\n        <Metadata>\n          <Accept code="sound-lags">kept</Accept>\n        </Metadata>\n',
      ),
    );
  });

  test('uses the tabs and line ends of the file', () => {
    const text = SMALL_CUT.replaceAll('  ', '\t').replaceAll('\n', '\r\n');
    expect(edited(accept(0), text)).toContain(
      '\r\n\t\t\t\t<Metadata>\r\n\t\t\t\t\t<Accept code="sound-lags">kept</Accept>\r\n\t\t\t\t</Metadata>\r\n\t\t\t</Clip>',
    );
  });

  test('stays on one line where the clip does', () => {
    const text = SMALL_CUT.replaceAll(/\n */g, '');
    expect(edited(accept(0), text)).toContain(
      '<SourceDuration>48</SourceDuration><Metadata><Accept code="sound-lags">kept</Accept></Metadata></Clip>',
    );
  });

  test('joins Metadata that is there', () => {
    const metadata = '<Metadata>\n          <Reel>A007</Reel>\n        </Metadata>';
    const text = changed('<EntryPoint>24<', `${metadata}\n        <EntryPoint>24<`);
    expect(edited(accept(0), text)).toBe(
      changed('<Reel>A007</Reel>', '<Reel>A007</Reel>\n          <Accept code="sound-lags">kept</Accept>', text),
    );
    const oneLine = changed('<EntryPoint>24<', '<Metadata><Reel>A007</Reel></Metadata>\n        <EntryPoint>24<');
    expect(edited(accept(0), oneLine)).toContain('<Reel>A007</Reel><Accept code="sound-lags">kept</Accept></Metadata>');
  });

  test('fills Metadata that is empty, in each of its spellings', () => {
    for (const empty of ['<Metadata/>', '<Metadata></Metadata>', '<Metadata>\n        </Metadata>']) {
      const text = changed('<EntryPoint>24<', `${empty}\n        <EntryPoint>24<`);
      expect(edited(accept(0), text)).toContain(
        '<Metadata>\n          <Accept code="sound-lags">kept</Accept>\n        </Metadata>\n        <EntryPoint>',
      );
    }
  });

  test("uses the file's own prefix", () => {
    const text = SMALL_CUT.replace(/<(\/?)(?=[A-Z])/g, '<$1cut:').replace('xmlns=', 'xmlns:cut=');
    expect(edited(accept(0), text)).toContain('<cut:Accept code="sound-lags">kept</cut:Accept>');
    expect(readXml(edited(accept(0), text)).acceptances).toMatchObject([{ code: 'sound-lags', clips: [0] }]);
  });

  test('leaves the Metadata of another namespace alone', () => {
    const text = changed('<EntryPoint>24<', '<x:Metadata xmlns:x="urn:example:x"/><EntryPoint>24<');
    const result = edited(accept(0), text);
    expect(result).toContain('<x:Metadata xmlns:x="urn:example:x"/>');
    expect(readXml(result).acceptances).toMatchObject([{ code: 'sound-lags', clips: [0] }]);
  });

  test('escapes its reason, on one line', () => {
    const result = edited(accept(0, 'sound-lags', 'a < b &\n c "d"'));
    expect(result).toContain('<Accept code="sound-lags">a &lt; b &amp; c "d"</Accept>');
    expect(readXml(result).acceptances).toMatchObject([{ reason: 'a < b & c "d"' }]);
  });

  test('is refused twice, without a reason, with no code, and for no clip', () => {
    expect(edited(accept(0), edited(accept(0)))).toBe('The clip already accepts sound-lags.');
    expect(edited(accept(0, 'sound-lags', ' '))).toMatch(/needs a reason/);
    expect(edited(accept(0, 'Sound Lags'))).toMatch(/no finding code/);
    expect(edited(accept(7))).toMatch(/no such clip/);
  });
});
