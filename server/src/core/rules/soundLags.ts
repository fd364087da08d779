/**
 * sound-lags: sound is later than the tolerance allows, at both ends of the overlap.
 */

import { offsetFindings, offsetFixes, offsetGroupFixes } from './offsetFinding.ts';
import type { Rule } from './rule.ts';

export const soundLags: Rule = {
  code: 'sound-lags',
  defaultSeverity: 'error',
  documentation: {
    title: 'Sound lags its picture',
    what: 'A sound clip is heard later than the picture it was recorded with, by more than the lag the tolerance allows.',
    why: 'About a frame of lag passes, since sound from a few metres away arrives late in nature as well (2.9 ms per metre). More is seen on lips and hands, and a mix will not put it right.',
    whatToDo:
      'Slip the sound clip so that it starts later in its recording. Keep the original, and check by eye and ear. A lag of many frames is often another clap of the same recording, or a time stamp read at the wrong rate: the message names what fits.',
    sources: ['ISO 9613-1:1993, formula A.5: 343.2 m/s at 20 C', 'about a frame late at most: common practice'],
  },
  check: (context) => offsetFindings(context, 'lags'),
  fixes: offsetFixes,
  groupFixes: offsetGroupFixes,
};
