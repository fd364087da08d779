/**
 * Edit decision lists (CMX3600-style, SMPTE ST 258) as a timeline format.
 *
 * Breaks when a list is written by a tool that gives columns another meaning; what is known of those is in the reader's files.
 */

import { rational } from '../../time/rational.ts';
import type { TimelineFormat } from '../timelineFormat.ts';
import { editsForEdl } from './edlEdits.ts';
import { readEdl } from './readEdl.ts';

const ONE_FRAME = rational(1);

export const edlFormat: TimelineFormat = {
  id: 'edl',
  title: 'edit decision list',
  read: readEdl,
  editsFor: editsForEdl,
  // An EDL holds whole frames and nothing finer.
  startStep: () => ONE_FRAME,
};
