/**
 * length-mismatch: a clip asks for more or less media than its place on the record holds, and no speed explains it.
 */

import { countOf } from '../text/words.ts';
import { absolute, compare, subtract } from '../time/rational.ts';
import type { AuditContext } from './context.ts';
import type { Finding, Fix } from './finding.ts';
import { draft, type FindingDraft, type Rule } from './rule.ts';

export const lengthMismatch: Rule = {
  code: 'length-mismatch',
  defaultSeverity: 'error',
  documentation: {
    title: 'Source and record lengths differ',
    what: 'The source out minus the source in is not the record out minus the record in, and no speed is given.',
    why: 'Either a speed was lost in the export, or one of four timecodes is wrong. Readers differ in which they believe, so picture and sound may part.',
    whatToDo:
      'Compare with the cut. The quick fix moves the source out to fit the record, which keeps place and start; if the clip was retimed, write its speed instead.',
    sources: ['out points are exclusive, so both lengths are out minus in: SMPTE ST 258 practice, from memory'],
  },
  check: lengthFindings,
  fixes: lengthFixes,
};

function* lengthFindings(context: AuditContext): Generator<FindingDraft> {
  for (const observation of context.timeline.observations) {
    if (observation.kind !== 'length') continue;
    const difference = absolute(subtract(observation.sourceFrames, observation.recordFrames));
    const direction = compare(observation.sourceFrames, observation.recordFrames) > 0 ? 'more' : 'less';
    yield draft({
      message: `The source is ${countOf(observation.sourceFrames, 'frame')} long, its place on the record ${countOf(observation.recordFrames, 'frame')}: ${countOf(difference, 'frame')} ${direction}, and no speed is given. Likely cause: a speed lost in the export, or a wrong timecode. Compare with the cut.`,
      place: { file: null, span: observation.span },
      clips: [observation.clip],
    });
  }
}

function lengthFixes(context: AuditContext, finding: Finding): readonly Fix[] {
  const { start, end } = finding.place.span;
  const observation = context.timeline.observations.find(
    (candidate) => candidate.kind === 'length' && candidate.span.start === start && candidate.span.end === end,
  );
  if (observation?.kind !== 'length' || observation.replacement === null) return [];
  return [
    {
      title: `Move the source out to ${observation.replacement}, as long as the record`,
      isSafe: true,
      isPreferred: true,
      changes: [{ kind: 'replace', span: observation.span, newText: observation.replacement }],
    },
  ];
}
