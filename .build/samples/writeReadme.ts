/**
 * The page about the samples: that they are invented, what each part of the cut is there to show, and how to write them anew.
 */

import { EVENTS } from './cutList.ts';
import { labelOfFrame } from './labels.ts';
import type { PlacedCut } from './place.ts';

const RECORD_START = 86400n;

export function writeReadme(cut: PlacedCut): string {
  const rows = EVENTS.map(({ picture, story, expected, sounds }) => {
    const codes = expected.map(({ code, formats }) =>
      formats.length === 3 ? `\`${code}\`` : `\`${code}\` (${formats.join(', ')})`,
    );
    const accepted = sounds.flatMap(({ accept }) => (accept === undefined ? [] : [`\`${accept.code}\`, accepted`]));
    const says = [...codes, ...accepted].join(', ');
    return `| ${labelOfFrame(RECORD_START + BigInt(picture.from))} | ${picture.name} | ${story} | ${says === '' ? 'nothing' : says} |`;
  });
  const pairCount = cut.pairs.length;
  return `# Samples

**Everything here is invented**: the mill, the miller, the day and every number. No camera, recorder or person stands behind it,
and there are no media files; the checks need none.

*Millrace* is a small documentary, shot with two cameras without sound (A and B, 23.976 frames per second, time-of-day timecode), a
main recorder (DECK) and a back-up on the table (POCKET), both at 48 kHz. At the head of every take somebody claps once in view
of each camera, first for A, then for B. The claps were measured and written down in \`millrace.alignment.json\`.

The same cut stands here in all three formats:

- \`millrace.otio\`: OTIO JSON
- \`millrace.timeline.xml\`: neutral timeline XML
- \`millrace.edl\`: an edit decision list with one picture and two sound channels

\`afterclap.json\` names the report, the tolerance (sound may lead by 1 ms and lag by one frame) and the rate of the edit decision
list, which writes none.

## What the cut shows

Of its ${pairCount} comparisons of a picture with its sound, these are there for a reason:

| record time | picture clip | what happened | what Afterclap says |
|---|---|---|---|
${rows.join('\n')}

An edit decision list writes no rates, so a wrong rate shows there only by what it does: sound in the wrong place.

## Where they come from

\`node .build/samples/run.mjs\` writes these files from one description of the shoot (\`.build/samples/shoot.ts\`) and of the cut
(\`.build/samples/cutList.ts\`). The lags that the tests expect are worked out there too, with fractions of their own and not with the
program. Change the description, never the files: a test writes them again and compares byte for byte.
`;
}
