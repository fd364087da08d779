/**
 * What a writer is given: a timeline as read, with what the neutral model does not hold but a writer needs.
 */

import type { Timeline } from '../timeline/model.ts';
import type { Loss, LossLog } from './loss.ts';
import type { MediaFacts } from './mediaFacts.ts';

export interface ConversionSource {
  readonly timeline: Timeline;
  /** By clip index. */
  readonly facts: readonly MediaFacts[];
  /** What kind of passage a transition is, by the offset where it starts in the source; only where the source says it. */
  readonly transitionTypes: ReadonlyMap<number, TransitionType>;
}

export type TransitionType =
  | { readonly kind: 'dissolve' }
  | { readonly kind: 'wipe' }
  | { readonly kind: 'other'; readonly name: string };

export interface Written<Content> {
  readonly content: Content;
  readonly losses: readonly Loss[];
  /** True for a clip that will not read back the same, which has been told. */
  readonly isExcused: LossLog['isExcused'];
  readonly hasKind: LossLog['hasKind'];
}

export function finished<Content>(content: Content, log: LossLog): Written<Content> {
  return { content, losses: log.losses(), isExcused: log.isExcused, hasKind: log.hasKind };
}
