/**
 * A report as the design shows it, and ways to change one thing about it. The shoot is invented.
 */

import type { AlignmentReport, FileProblem } from '../../../server/src/core/alignment/model.ts';
import { readReport } from '../../../server/src/core/alignment/readReport.ts';
import { textOf } from '../../../server/src/core/text/span.ts';

export const SAMPLE_REPORT = `{
  "alignment": 1,
  "pictures": {
    "cam-a-07": { "names": ["CAM_A_0007.mov"], "rate": "24000/1001", "start": "14:03:20:00", "frames": 4316 }
  },
  "sounds": {
    "deck-12": { "names": ["DECK_0012.wav"], "sampleRate": 48000, "startSample": 2430602400, "samples": 9600000,
                 "claps": [1234567, 1675000] }
  },
  "pairs": [
    { "picture": "cam-a-07", "sound": "deck-12", "at": { "frame": 132, "sample": 1234567.25 },
      "driftPpm": 0, "uncertaintyMs": { "early": 20.9, "late": 20.9 }, "by": "clap", "clap": 1, "note": "" }
  ]
}
`;

/** The sample with one piece of text replaced; the piece must be there. */
export function sampleWith(old: string, changed: string): string {
  if (!SAMPLE_REPORT.includes(old)) throw new Error(`the sample report does not hold ${old}`);
  return SAMPLE_REPORT.replace(old, () => changed);
}

export function readSampleWith(old: string, changed: string): AlignmentReport {
  return readReport('day1.alignment.json', sampleWith(old, changed));
}

/** A problem as `severity: 'characters' message`, easy to hold against what was expected. */
export function describeProblem(text: string, problem: FileProblem): string {
  return `${problem.severity} at ${textOf(text, problem.span).replace(/\s+/g, ' ')}: ${problem.message}`;
}
