/**
 * Which settings and reports each open document is checked with, looked up once and again only when that may have changed.
 *
 * Invariants
 * - As long as the answer says the same, it is the same object: whoever keeps results per project need not compare texts.
 * - A change told by the client (a file on disk, the text of an open report) is seen by the next look-up.
 * - Clients can't watch everything (folders above the workspace, or nothing at all), so a look-up on this machine's own disk,
 *   which costs a millisecond, is not trusted for longer than `TRUSTED_MS`.
 */

import type { Connection } from 'vscode-languageserver';
import { buildLineIndex, type LineIndex } from '../core/text/lineIndex.ts';
import { findProject, type Project } from '../project/findProject.ts';
import { comparablePath, parentOf } from '../project/paths.ts';
import { createBriefFiles } from './briefFiles.ts';
import type { ClientAbilities } from './capabilities.ts';
import type { LinkedFile } from './diagnostics.ts';
import { createDocumentFiles } from './documentFiles.ts';
import type { Ports } from './ports.ts';
import type { TextStore } from './textStore.ts';

const TRUSTED_MS = 2000;

/** A project with its files ready to be pointed into. */
export interface DocumentProject extends Project {
  /** A report or the settings, by the name findings give it; null for any other name. */
  readonly fileNamed: (file: string) => LinkedFile | null;
}

export interface ProjectSource {
  readonly projectOf: (uri: string) => Promise<DocumentProject>;
  /** Text of a file that is not open; null when it can't be read. */
  readonly readText: (uri: string) => Promise<string | null>;
  /** Something changed, on disk or in an open report: what was looked up is looked up again when next asked for. */
  readonly forget: () => void;
  readonly closed: (uri: string) => void;
}

export interface ProjectSourceInput {
  readonly connection: Connection;
  readonly ports: Ports;
  readonly abilities: ClientAbilities;
  readonly store: TextStore;
}

interface LookUp {
  readonly project: Promise<DocumentProject>;
  readonly generation: number;
  readonly at: number;
}

export function createProjectSource({ connection, ports, abilities, store }: ProjectSourceInput): ProjectSource {
  const files = createDocumentFiles({ store, local: ports.localFiles, connection: abilities.readsFiles ? connection : null });
  const looked = createBriefFiles(files, ports.timers);
  const lookUps = new Map<string, LookUp>();
  // Hundreds of timelines in one folder are checked with the same reports: one object for all of them.
  const latestInFolder = new Map<string, DocumentProject>();
  let generation = 0;

  const isFresh = (lookUp: LookUp, uri: string): boolean => {
    if (lookUp.generation !== generation) return false;
    const isOnDisk = ports.localFiles !== null && uri.startsWith('file:');
    return !isOnDisk || ports.timers.now() - lookUp.at < TRUSTED_MS;
  };
  const lookUp = async (uri: string, before: LookUp | undefined): Promise<DocumentProject> => {
    const found = await findProject(looked, uri);
    const folder = parentOf(uri) ?? '';
    const known = [await before?.project.catch(() => undefined), latestInFolder.get(folder)];
    const project = known.find((candidate) => candidate !== undefined && saysTheSame(candidate, found)) ?? withFiles(found);
    latestInFolder.set(folder, project);
    return project;
  };

  return {
    projectOf: (uri) => {
      const before = lookUps.get(uri);
      if (before !== undefined && isFresh(before, uri)) return before.project;
      const project = lookUp(uri, before);
      lookUps.set(uri, { project, generation, at: ports.timers.now() });
      return project;
    },
    readText: async (uri) => {
      const file = await files.readText(uri);
      return file.ok ? file.text : null;
    },
    forget: () => {
      looked.forget();
      generation += 1;
    },
    closed: (uri) => {
      lookUps.delete(uri);
    },
  };
}

function saysTheSame(left: Project, right: Project): boolean {
  return (
    left.reason === right.reason &&
    left.settingsFile?.path === right.settingsFile?.path &&
    left.settingsFile?.text === right.settingsFile?.text &&
    left.reports.length === right.reports.length &&
    JSON.stringify([...(left.assetNames ?? [])]) === JSON.stringify([...(right.assetNames ?? [])]) &&
    left.reports.every(
      ({ path, report }, at) => path === right.reports[at]?.path && report.text === right.reports[at]?.report.text,
    ) &&
    JSON.stringify([left.problems, left.settings.problems]) === JSON.stringify([right.problems, right.settings.problems])
  );
}

function withFiles(project: Project): DocumentProject {
  const { settings, settingsFile, reports } = project;
  const texts = new Map<string, { readonly uri: string; readonly text: string }>();
  if (settings.file !== null && settingsFile !== null) {
    texts.set(settings.file, { uri: settingsFile.path, text: settingsFile.text });
  }
  for (const { path, report } of reports) texts.set(report.file, { uri: path, text: report.text });
  const indexes = new Map<string, LineIndex>();
  return {
    ...project,
    fileNamed: (file) => {
      const found = texts.get(file);
      if (found === undefined) return null;
      const index = indexes.get(file) ?? buildLineIndex(found.text);
      indexes.set(file, index);
      return { uri: found.uri, index };
    },
  };
}

/** True when the settings a document is checked with are the document itself. */
export function isOwnSettings({ settingsFile }: Project, uri: string): boolean {
  return settingsFile !== null && comparablePath(settingsFile.path) === comparablePath(uri);
}
