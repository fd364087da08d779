/**
 * Conversion never throws, whatever the source: pieces dropped, doubled and swapped, numbers out of all proportion.
 *
 * A source that cannot be read has no clips and is refused; everything else is converted, and what could not be read is said.
 */

import { readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { convertTimeline } from '../../server/src/core/convert/convertTimeline.ts';
import { renderLossesJson, renderLossesText } from '../../server/src/core/convert/renderLosses.ts';
import type { TargetFormat } from '../../server/src/core/convert/verifyText.ts';
import { formatFor } from '../../server/src/core/formats/formatFor.ts';
import type { FormatId } from '../../server/src/core/timeline/model.ts';
import { renderXmlTree } from '../../server/src/project/convert/renderXmlTree.ts';
import { TWO_SEGMENTS } from '../unit/cpl/cplSupport.ts';

const samples = resolve(import.meta.dirname, '../../samples');
const sample = (name: string): string => readFileSync(resolve(samples, name), 'utf8');
const SOURCES: Readonly<Record<FormatId, { readonly text: string; readonly seam: RegExp }>> = {
  otio: { text: sample('millrace.otio'), seam: /(?<=[,{}[\]])/ },
  xml: { text: sample('millrace.timeline.xml'), seam: /(?<=>)/ },
  edl: { text: sample('millrace.edl'), seam: /(?<=[\n ])/ },
  cpl: { text: TWO_SEGMENTS, seam: /(?<=>)/ },
};
const TARGETS: readonly TargetFormat[] = ['otio', 'xml', 'edl'];
const NUMBERS = ['0', '-1', '99999999999999999999999', '0.333333333333333333333', '1e300', '-0', '00', '1001'];

describe.each(Object.keys(SOURCES) as readonly FormatId[])('a damaged source of the format %s', (format) => {
  const { text, seam } = SOURCES[format];
  const pieces = text.split(seam);

  it.each(TARGETS)('becomes %s, or is refused, without a throw', (target) => {
    fc.assert(
      fc.property(
        fc.array(
          fc.record({
            at: fc.nat(pieces.length - 1),
            other: fc.nat(pieces.length - 1),
            damage: fc.constantFrom('drop', 'double', 'swap', 'number', 'number', 'number', 'letters'),
            number: fc.constantFrom(...NUMBERS),
          }),
          { minLength: 1, maxLength: 6 },
        ),
        (damages) => {
          const damaged = [...pieces];
          for (const { at, other, damage, number } of damages) {
            const piece = damaged[at] as string;
            if (damage === 'drop') damaged[at] = '';
            else if (damage === 'double') damaged[at] = piece + piece;
            else if (damage === 'swap') damaged[at] = damaged[other] as string;
            else if (damage === 'letters') damaged[at] = piece.replace(/[a-z]+/i, 'Ü<&>"\u0000\ud800');
            else damaged[at] = piece.replace(/-?[\d.]+/, number);
          }
          expectConverted(format, damaged.join(''), target);
        },
      ),
      { numRuns: 60 },
    );
  });
});

function expectConverted(format: FormatId, text: string, target: TargetFormat): void {
  const options = { edlRate: null, sharedPictureRate: null };
  const timeline = formatFor(format).read(text, options);
  const conversion = convertTimeline({ text, timeline, target, options, reports: [], groups: [], renderXml: renderXmlTree });
  if (!conversion.ok) return;
  for (const file of conversion.files) expect(file.text.endsWith('\n')).toBe(true);
  const { losses } = conversion;
  expect(
    losses.every(({ span }) => span === null || (span.start >= 0 && span.start <= span.end && span.end <= text.length)),
  ).toBe(true);
  const report = { path: 'x', text, timeline, target, losses, written: [], reportReason: '' };
  expect(renderLossesText(report, 100).length).toBeGreaterThan(0);
  expect(() => JSON.parse(renderLossesJson(report))).not.toThrow();
}
