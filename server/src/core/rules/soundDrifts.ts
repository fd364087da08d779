/**
 * sound-drifts: in at one end of the overlap and out at the other, or leading at one end and lagging at the other.
 */

import { offsetFindings, offsetFixes, offsetGroupFixes } from './offsetFinding.ts';
import type { Rule } from './rule.ts';

export const soundDrifts: Rule = {
  code: 'sound-drifts',
  defaultSeverity: 'error',
  documentation: {
    title: 'Sound drifts against its picture',
    what: 'The lag of a sound clip changes over its length so that it is in at one end and out at the other. The two clocks count at different speeds, as the report measured, or one of them was read at the wrong rate.',
    why: 'Two free-running clocks differ by up to some tens of parts per million: 20 ppm is 72 ms in an hour. A rate read 0.1 % wrong is 3.6 s in an hour, one frame of 24 after 42 s.',
    whatToDo:
      'For a short overrun, slip the clip so that it never leads; the quick fix does that where the whole clip then stays in. For a long take, cut the sound into shorter parts and slip each, or take the drift out of the recording. For 0.1 %, find which rate is wrong rather than moving anything.',
    sources: [
      '1 ppm = 3.6 ms per hour: arithmetic',
      'clocks within 10 ppm, consumer gear more: Rumsey and Watkinson, Digital Interface Handbook, 3rd ed., 6.1',
    ],
  },
  check: (context) => offsetFindings(context, 'drifts'),
  fixes: offsetFixes,
  groupFixes: offsetGroupFixes,
};
