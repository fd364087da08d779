/**
 * The timelines of a workspace by the folders they lie in, as a tree to look through.
 *
 * Invariants
 * - Every timeline stands in the tree exactly once, whatever the folders are called.
 * - A folder that holds nothing but one other folder shares a line with it, as in the editor's own list of files. A folder of the
 *   workspace keeps a line of its own where there are several, and has none where it is the only one.
 * - The name of a node tells it apart from all others, so that what was found of a timeline stays with it when the tree is made anew.
 */

import { groupBy } from '../../../server/src/core/rules/groupBy.ts';

export interface ListedTimeline {
  readonly id: string;
  /** Name of the workspace's folder that holds it, and how it is shown. */
  readonly root: string;
  readonly rootLabel: string;
  /** Names from there on, the file's own last. */
  readonly path: readonly string[];
}

export type TreeNode =
  | { readonly kind: 'folder'; readonly id: string; readonly label: string; readonly children: readonly TreeNode[] }
  | { readonly kind: 'timeline'; readonly id: string; readonly label: string };

/** `hasSeveralRoots` is said of the workspace: of two folders, one may hold no timeline. */
export function timelineTree(timelines: readonly ListedTimeline[], hasSeveralRoots: boolean): readonly TreeNode[] {
  const roots = groupBy(timelines, ({ root }) => root);
  return [...roots].flatMap(([root, inRoot]) => {
    const children = nodesIn(root, inRoot, 0);
    return hasSeveralRoots ? [{ kind: 'folder', id: root, label: inRoot[0]?.rootLabel ?? '', children } as const] : children;
  });
}

function nodesIn(parent: string, timelines: readonly ListedTimeline[], depth: number): readonly TreeNode[] {
  const isHere = ({ path }: ListedTimeline): boolean => path.length <= depth + 1;
  const deeper = timelines.filter((timeline) => !isHere(timeline));
  const folders = [...groupBy(deeper, ({ path }) => path[depth] ?? '')].map(([name, inside]): TreeNode => {
    const id = `${parent}/${encodeURIComponent(name)}`;
    const children = nodesIn(id, inside, depth + 1);
    const [only] = children;
    return children.length === 1 && only?.kind === 'folder'
      ? { ...only, label: `${name}/${only.label}` }
      : { kind: 'folder', id, label: name, children };
  });
  const own = timelines.filter(isHere).map(({ id, path }): TreeNode => ({ kind: 'timeline', id, label: path.at(-1) ?? id }));
  return [...folders, ...own];
}
