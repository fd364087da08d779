/**
 * The outline of a list: its events, in text order, under the title.
 */

import { span } from '../../text/span.ts';
import type { Clip, OutlineNode } from '../../timeline/model.ts';

const NO_CHILDREN: readonly OutlineNode[] = [];

export function outlineOfList(title: string, text: string, clips: readonly Clip[]): readonly OutlineNode[] {
  const events: OutlineNode[] = [];
  let group = -1;
  for (const clip of clips) {
    if (clip.textGroup === group) continue;
    group = clip.textGroup;
    const { name, span: place, nameSpan, index } = clip;
    events.push({ kind: 'event', name, span: place, nameSpan, clip: index, children: NO_CHILDREN });
  }
  if (events.length === 0 && title === '') return NO_CHILDREN;
  return [{ kind: 'timeline', name: title, span: span(0, text.length), nameSpan: null, clip: null, children: events }];
}
