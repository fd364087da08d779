/**
 * unreadable: the text breaks its format at this place; reading went on after it.
 */

import type { AuditContext } from './context.ts';
import { draft, type FindingDraft, type Rule } from './rule.ts';

export const unreadable: Rule = {
  code: 'unreadable',
  defaultSeverity: 'error',
  documentation: {
    title: 'Not readable here',
    what: 'The text breaks the rules of its format at this place. What could be read around it was read and checked; what stands here was left out. Notes about a limit or a guess carry this code at a lower severity.',
    why: 'Another program may stop here, or take it for something else, and then hear another cut than the one that was checked.',
    whatToDo: 'Mend the place by hand, or export the timeline again. The message says what was expected.',
    sources: [
      'OTIO file format specification',
      'SMPTE ST 258 practice for edit lists, from memory',
      'the schema of the neutral XML',
    ],
  },
  check: unreadableFindings,
};

function* unreadableFindings(context: AuditContext): Generator<FindingDraft> {
  for (const observation of context.timeline.observations) {
    const { kind, span } = observation;
    if (kind === 'unreadable') yield draft({ message: observation.message, place: { file: null, span } });
    if (kind === 'limit') yield draft({ message: observation.message, place: { file: null, span }, severity: 'warning' });
    if (kind === 'note') {
      yield draft({
        message: observation.message,
        place: { file: null, span },
        clips: observation.clip === null ? [] : [observation.clip],
        severity: observation.isWarning === true ? 'warning' : 'information',
      });
    }
  }
}
