/**
 * What a composition playlist holds beyond the neutral timeline: identifiers, descriptions, markers, segments, its signature.
 */

import { CPL_VOCABULARY, CplElement } from '../formats/cpl/cplVocabulary.ts';
import { createProblemLog } from '../syntax/xml/problemLog.ts';
import { readElements } from '../syntax/xml/readElements.ts';
import { XML_LIMITS } from '../syntax/xml/xmlLimits.ts';
import type { Span } from '../text/span.ts';
import type { Timeline } from '../timeline/model.ts';
import type { LossLog } from './loss.ts';
import { tellComments } from './surveyXml.ts';

const E = CplElement;

export function surveyCpl(text: string, timeline: Timeline, log: LossLog): void {
  const clips = new Map<number, number>();
  for (const clip of timeline.clips) if (!clips.has(clip.span.start)) clips.set(clip.span.start, clip.index);
  let clip: number | null = null;
  let identifiers = 0;
  let segments = 0;
  let firstIdentifier: Span | null = null;
  const tell = (kind: 'metadata' | 'marker' | 'nesting' | 'identifier', message: string, span: Span): void =>
    log.tell({ kind, message, clip, track: null, span });
  readElements(
    text,
    CPL_VOCABULARY,
    {
      open: (code, _parent, start) => {
        if (code === E.Resource) clip = clips.get(start) ?? null;
      },
      close: (code, parent, start, contentStart, _contentEnd, end) => {
        const span = { start, end: contentStart };
        if (code === E.Id || code === E.TrackId) {
          identifiers += 1;
          firstIdentifier ??= { start, end };
        } else if (code === E.Segment) segments += 1;
        else if (code === E.RepeatCount) tell('nesting', 'It is repeated. Every repeat is written as a clip of its own.', span);
        else if (code === E.MarkerSequence) tell('marker', 'The markers of a segment are left out.', span);
        else if (code === E.Signature)
          tell('metadata', 'The signature of the playlist does not hold for what is written. It is left out.', span);
        else if (code === E.Annotation && parent !== E.Resource) tell('metadata', 'An Annotation is left out.', span);
        else if (code === E.Resource) clip = null;
      },
      leftOut: () => {},
      foreign: (_parent, start, contentStart) => {
        const name = /^<(?:[^\s<>:/]+:)?([^\s<>/]+)/.exec(text.slice(start, Math.min(contentStart, start + 200)))?.[1] ?? '';
        const loss = { kind: 'metadata', clip, track: null, span: { start, end: contentStart } } as const;
        log.tellAlike(name, loss, (count) => `${name}${count === 1 ? '' : ` (in ${count} places)`} is left out.`);
      },
    },
    XML_LIMITS,
    createProblemLog(text.length, 0),
  );
  if (segments > 1) {
    const root = timeline.outline[0]?.span.start ?? 0;
    tell('nesting', `The ${segments} segments are joined: their sequences stand one after another on the tracks.`, {
      start: root,
      end: root + 1,
    });
  }
  if (firstIdentifier !== null) {
    tell(
      'identifier',
      `The ${identifiers} identifiers of the composition, its segments, sequences and resources are left out. Those of the files are kept as names.`,
      firstIdentifier,
    );
  }
  tellComments(text, log);
}
