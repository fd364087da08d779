/**
 * Fixes in composition playlists: the digits of EntryPoint and nothing else, and none at all where the text is signed.
 */

import { describe, expect, it } from 'vitest';
import { editsForFix, fixAll, fixesFor } from '../../../server/src/core/audit.ts';
import { cplFormat } from '../../../server/src/core/formats/cpl/cplFormat.ts';
import { applyEdits } from '../../../server/src/core/text/textEdit.ts';
import { rational } from '../../../server/src/core/time/rational.ts';
import { auditCpl, changed, readCplText, TWO_SEGMENTS, told } from './cplSupport.ts';

const LEADING = changed('<EntryPoint>48048</EntryPoint>', '<EntryPoint>50050</EntryPoint>');
const SIGNATURE = `<Signer xmlns:ds="http://www.w3.org/2000/09/xmldsig#"><ds:X509Data/></Signer>
  <ds:Signature xmlns:ds="http://www.w3.org/2000/09/xmldsig#"><ds:SignedInfo><ds:SignatureValue>c2lnbmVk</ds:SignatureValue></ds:SignedInfo></ds:Signature>
</CompositionPlaylist>`;

describe('a slip', () => {
  it('writes the digits of EntryPoint, and the rest stays as it is', () => {
    const before = auditCpl(LEADING);
    const { edits } = fixAll(before, null);
    expect(edits.map(({ newText }) => newText)).toEqual(['48048']);
    expect(applyEdits(LEADING, edits)).toBe(TWO_SEGMENTS);
    expect(auditCpl(TWO_SEGMENTS).findings).toEqual([]);
  });

  it('moves all repeats of a resource at once: they share their characters', () => {
    const repeat = (entry: number): string =>
      changed(
        `<EntryPoint>48048</EntryPoint>
              <SourceDuration>96096</SourceDuration>`,
        `<EntryPoint>${entry}</EntryPoint><SourceDuration>48048</SourceDuration><RepeatCount>2</RepeatCount>`,
      );
    const timeline = readCplText(repeat(48048));
    const change = { kind: 'set-source-start', clip: 2, count: rational(50050) } as const;
    const result = cplFormat.editsFor(repeat(48048), timeline, change);
    expect(applyEdits(repeat(48048), result.ok ? result.edits : [])).toBe(repeat(50050));
  });

  it('is refused where no SourceDuration keeps the length, and where no EntryPoint is written', () => {
    const open = changed('<SourceDuration>96096</SourceDuration>', '');
    const change = { kind: 'set-source-start', clip: 1, count: rational(5) } as const;
    expect(cplFormat.editsFor(open, readCplText(open), change)).toEqual({
      ok: false,
      reason: expect.stringContaining('This Resource has no SourceDuration'),
    });
    const none = changed('<EntryPoint>48048</EntryPoint>', '');
    expect(cplFormat.editsFor(none, readCplText(none), change)).toEqual({
      ok: false,
      reason: expect.stringContaining('no readable EntryPoint'),
    });
  });

  it('is refused between edit units and before the first', () => {
    const timeline = readCplText(TWO_SEGMENTS);
    for (const count of [rational(1, 2), rational(-1)]) {
      const result = cplFormat.editsFor(TWO_SEGMENTS, timeline, { kind: 'set-source-start', clip: 1, count });
      expect(result.ok).toBe(false);
    }
  });
});

describe('a signed playlist', () => {
  const signed = LEADING.replace('</CompositionPlaylist>', () => SIGNATURE);

  it('is checked and says that it is signed', () => {
    const result = auditCpl(signed);
    expect(told(result.timeline)).toEqual([
      'note: This playlist is signed. It is checked as it is; any change would break the signature, so none is offered.',
    ]);
    expect(result.findings.map(({ code }) => code)).toEqual(['sound-leads', 'unreadable']);
  });

  it('gets no edit of any kind', () => {
    const result = auditCpl(signed);
    expect(fixAll(result, null).edits).toEqual([]);
    expect(result.findings.flatMap((finding) => fixesFor(result, finding))).toEqual([]);
    const slip = {
      title: '',
      isSafe: true,
      isPreferred: true,
      changes: [{ kind: 'set-source-start', clip: 1, count: rational(48048) }],
    } as const;
    expect(editsForFix(result, slip)).toEqual({ ok: false, reason: expect.stringContaining('would break its signature') });
  });

  it('is not one for the word in a comment or in another namespace', () => {
    const text = LEADING.replace(
      '</CompositionPlaylist>',
      '<!-- <ds:Signature/> --><o:Signature xmlns:o="urn:example:other"/></CompositionPlaylist>',
    );
    expect(fixAll(auditCpl(text), null).edits.length).toBe(1);
  });
});

describe('an acceptance', () => {
  it('is refused, with the place where it can be written', () => {
    const result = cplFormat.editsFor(LEADING, readCplText(LEADING), {
      kind: 'accept',
      clip: 1,
      code: 'sound-leads',
      reason: 'meant',
    });
    expect(result).toEqual({ ok: false, reason: expect.stringContaining('afterclap.json') });
  });
});
