/**
 * Every file of samples/, as text: the one cut in three formats, its report, its settings and the page about them.
 *
 * The committed files are these, byte for byte; a test writes them again and compares.
 */

import { placeCut } from './place.ts';
import { writeEdl } from './writeEdl.ts';
import { writeOtio } from './writeOtio.ts';
import { writeReadme } from './writeReadme.ts';
import { writeReport, writeSettings } from './writeReport.ts';
import { writeXml } from './writeXml.ts';

const TITLE = 'Millrace, cut 3';
const REPORT = 'millrace.alignment.json';

/** File name in samples/ and its text. */
export function sampleFiles(): ReadonlyMap<string, string> {
  const cut = placeCut();
  return new Map([
    ['millrace.otio', writeOtio(cut, TITLE)],
    ['millrace.timeline.xml', writeXml(cut, TITLE)],
    ['millrace.edl', writeEdl(cut, TITLE)],
    [REPORT, writeReport()],
    ['afterclap.json', writeSettings(REPORT)],
    ['README.md', writeReadme(cut)],
  ]);
}
