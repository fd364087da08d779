/**
 * Which of the files to check git says changed since a revision.
 *
 * A timeline counts as changed when it did itself, or when a report or settings file did that serves it: the same cut held against
 * another clap is another result. So that a folder of old cuts can stay as it is, nothing else is checked.
 */

import { realpath } from 'node:fs/promises';
import { dirname } from 'node:path';
import { createGit } from '../node/git.ts';
import type { Project } from '../project/findProject.ts';
import { comparablePath } from '../project/paths.ts';
import type { FoundFile } from './findFiles.ts';
import { UserError } from './userError.ts';

/** Throws a UserError when git can't tell. */
export async function changedSince(
  revision: string,
  found: readonly FoundFile[],
  projectOf: (timeline: string) => Promise<Project>,
): Promise<readonly FoundFile[]> {
  const changesByTop = new Map<string, ReadonlySet<string>>();
  const changed: FoundFile[] = [];
  for (const file of found) {
    const path = await realpath(file.path);
    const changes = await changesAround(path, revision, changesByTop);
    const isChanged =
      changes.has(comparablePath(path)) || (file.kind === 'timeline' && isServedByChanged(await projectOf(file.path), changes));
    if (isChanged) changed.push(file);
  }
  return changed;
}

function isServedByChanged({ watched }: Project, changes: ReadonlySet<string>): boolean {
  return watched.some((path) => changes.has(comparablePath(path)));
}

/** The changed files of the repository that holds `path`, asked for once. */
async function changesAround(
  path: string,
  revision: string,
  known: Map<string, ReadonlySet<string>>,
): Promise<ReadonlySet<string>> {
  for (const [top, changes] of known) if (path.startsWith(`${top}/`)) return changes;
  const git = createGit(dirname(path));
  const top = await git.topFolder();
  if (!top.ok) throw new UserError(`--changed-since: ${top.reason}`);
  const answer = await git.changedFiles(revision);
  if (!answer.ok) throw new UserError(`--changed-since: ${answer.reason}`);
  const folder = (await realpath(top.value)).replaceAll('\\', '/');
  const changes = new Set(answer.value.map((name) => comparablePath(`${folder}/${name}`)));
  known.set(folder, changes);
  return changes;
}
