/**
 * drop-frame: a timecode that drop-frame counting skips, counting modes mixed in one list, or drop-frame at a rate without it.
 *
 * The readers notice; this file says what it means and offers the label that exists.
 */

import type { AuditContext } from './context.ts';
import type { Finding, Fix } from './finding.ts';
import { draft, type FindingDraft, type Rule } from './rule.ts';

export const dropFrame: Rule = {
  code: 'drop-frame',
  defaultSeverity: 'error',
  documentation: {
    title: 'A timecode label that cannot be',
    what: 'A label that drop-frame counting skips (;00 and ;01 at the start of every minute but each tenth; ;00 to ;03 at 59.94), drop-frame and non-drop-frame labels mixed in one list, or drop-frame at a rate for which it is not defined.',
    why: 'The two ways of counting part by 3.6 s in an hour (108 labels at 29.97). A label that does not exist is a sure sign that somebody counted the other way.',
    whatToDo:
      'Find out how the list was counted and export it again that way. The quick fix writes the next label that exists; it moves a point by up to four frames, so it is never part of a fix-all.',
    sources: ['SMPTE ST 12-1, drop-frame counting (clause 5.2.2 from memory)'],
  },
  check: labelFindings,
  fixes: labelFixes,
};

function* labelFindings(context: AuditContext): Generator<FindingDraft> {
  for (const observation of context.timeline.observations) {
    if (observation.kind !== 'label') continue;
    yield draft({
      message: observation.message,
      place: { file: null, span: observation.span },
      clips: observation.clip === null ? [] : [observation.clip],
    });
  }
}

function labelFixes(context: AuditContext, finding: Finding): readonly Fix[] {
  const { span } = finding.place;
  const observation = context.timeline.observations.find(
    (candidate) => candidate.kind === 'label' && candidate.span.start === span.start && candidate.span.end === span.end,
  );
  if (observation?.kind !== 'label' || observation.replacement === null) return [];
  return [
    {
      title: `Write ${observation.replacement} for ${observation.text}`,
      isSafe: false,
      isPreferred: false,
      changes: [{ kind: 'replace', span: observation.span, newText: observation.replacement }],
    },
  ];
}
