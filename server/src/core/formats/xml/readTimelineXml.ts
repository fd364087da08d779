/**
 * Text of a neutral timeline XML to the neutral timeline: the way through the layers of the XML reader.
 */

import { createProblemLog } from '../../syntax/xml/problemLog.ts';
import { readElements } from '../../syntax/xml/readElements.ts';
import { XML_LIMITS, type XmlLimits } from '../../syntax/xml/xmlLimits.ts';
import type { Observation, Timeline } from '../../timeline/model.ts';
import { buildTimeline } from './buildTimeline.ts';
import { collectTimeline } from './timelineDraft.ts';
import { TIMELINE_VOCABULARY } from './timelineVocabulary.ts';
import { createWrittenValues } from './writtenValues.ts';

/** Never throws, on any string. */
export function readTimelineXml(text: string, limits: XmlLimits = XML_LIMITS): Timeline {
  const log = createProblemLog<Observation>(text.length, limits.problems);
  const collector = collectTimeline(text, log);
  readElements(text, TIMELINE_VOCABULARY, collector, limits, log);
  return buildTimeline(text, collector.draft(), createWrittenValues(text, limits.digits, log), log);
}
