/**
 * The neutral timeline XML (`*.timeline.xml`): our own open format, defined by `syntaxes/timeline.xsd`.
 *
 * Counts are whole edit units, so a clip's start can be written in steps of one unit: a frame, or a sample where the
 * clip or its track counts in samples.
 */

import { ONE } from '../../time/rational.ts';
import type { TimelineFormat } from '../timelineFormat.ts';
import { readTimelineXml } from './readTimelineXml.ts';
import { xmlEdits } from './xmlEdits.ts';

export const xmlFormat: TimelineFormat = {
  id: 'xml',
  title: 'neutral timeline XML',
  read: (text) => readTimelineXml(text),
  editsFor: xmlEdits,
  startStep: () => ONE,
};
