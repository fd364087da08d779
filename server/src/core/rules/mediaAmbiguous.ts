/**
 * media-ambiguous: the names of one clip match two different entries of the report.
 */

import type { AuditContext } from './context.ts';
import { draft, type FindingDraft, type Rule } from './rule.ts';

export const mediaAmbiguous: Rule = {
  code: 'media-ambiguous',
  defaultSeverity: 'warning',
  documentation: {
    title: 'One clip, two entries of the report',
    what: "A clip's media is looked up by the file name of its URL, the name of its media reference, its reel and its own name, in this order. Here two of them match different entries of the report. The first decides.",
    why: 'If the first is the wrong one, the clip is compared with the wrong picture or sound, and the result is worthless.',
    whatToDo:
      'Make the names agree: in the report (`names`), or in the timeline. Reel names that repeat from day to day are the usual cause.',
    sources: ['common practice'],
  },
  check: ambiguousFindings,
};

function* ambiguousFindings(context: AuditContext): Generator<FindingDraft> {
  for (const { clip, match, picture, sound } of context.clips) {
    const entry = picture ?? sound;
    const other = match.ambiguousWith[0];
    if (other === undefined || entry === null) continue;
    yield draft({
      message: `'${clip.name}' is taken for ${entry.key} by its ${match.by}, but its ${other.by} says ${other.entry.key}. The first decides. Make the names agree in the report or the timeline.`,
      place: { file: null, span: clip.nameSpan ?? clip.media.urlSpan ?? clip.span },
      related: [
        { file: entry.file, span: entry.keySpan, message: `the entry taken: ${entry.key}` },
        { file: other.entry.file, span: other.entry.keySpan, message: `the other entry: ${other.entry.key}` },
      ],
      picture: picture?.key ?? null,
      sound: sound?.key ?? null,
      clips: [clip.index],
    });
  }
}
