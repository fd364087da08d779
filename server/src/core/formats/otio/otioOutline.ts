/**
 * The outline: nesting as written, for trees and folding.
 *
 * Whoever shows it will walk it by recursion, so it never nests deeper than a person could follow; what is nested deeper
 * hangs on the last level.
 */

import type { Span } from '../../text/span.ts';
import type { OutlineNode } from '../../timeline/model.ts';
import type { Item } from './otioItem.ts';

const DEEPEST_LEVEL = 64;

const NO_CHILDREN: readonly OutlineNode[] = [];

export interface OutlineBranch {
  readonly depth: number;
  readonly children: OutlineNode[];
}

/** Adds a composition; answers where its children go. */
export function addBranch(branch: OutlineBranch, item: Item, span: Span, name: string, clip: number | null): OutlineBranch {
  const children: OutlineNode[] = [];
  branch.children.push({ kind: outlineKind(item), name, span, nameSpan: item.nameSpan, clip, children });
  return branch.depth < DEEPEST_LEVEL ? { depth: branch.depth + 1, children } : branch;
}

/** Adds something without children. */
export function addLeaf(branch: OutlineBranch, item: Item, span: Span, name: string, clip: number | null): void {
  branch.children.push({ kind: outlineKind(item), name, span, nameSpan: item.nameSpan, clip, children: NO_CHILDREN });
}

function outlineKind(item: Item): OutlineNode['kind'] {
  return item.kind === 'opaque' ? 'media' : item.kind;
}
