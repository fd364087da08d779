/**
 * A timeline ready to be audited, for the commands that look at one or two of them: its text, its format, and the report and
 * settings that serve it.
 */

import { basename } from 'node:path';
import type { Settings, Tolerance } from '../core/alignment/settings.ts';
import { type Audit, audit } from '../core/audit.ts';
import { formatOfFileName, formatOfXmlText } from '../core/formats/formatFor.ts';
import type { FormatId } from '../core/timeline/model.ts';
import { decodeText, encodingRemark } from '../project/decodeText.ts';
import type { FileSystem } from '../project/fileSystem.ts';
import { findProject, type Project } from '../project/findProject.ts';
import { UserError } from './userError.ts';

export interface TimelineText {
  /** As shown to people. */
  readonly name: string;
  readonly format: FormatId;
  readonly text: string;
  /** About the encoding, as the rest of a sentence that begins with the name; null for UTF-8. */
  readonly remark: string | null;
}

/** Text and format of a timeline. Throws a UserError for what holds none. */
export function timelineText(name: string, bytes: Buffer): TimelineText {
  if (bytes.length === 0) throw new UserError(`${name} is empty: there is nothing in it to read; export it again`);
  const decoded = decodeText(bytes);
  if (!decoded.ok) throw new UserError(`${name} ${decoded.reason}; check what was exported`);
  return { name, format: formatOf(name, decoded.text), text: decoded.text, remark: encodingRemark(decoded.encoding) };
}

/** By its name; a name that says nothing, as of temporary files, leaves it to the first character. */
function formatOf(name: string, text: string): FormatId {
  const named = formatOfFileName(basename(name));
  if (named !== null) return named;
  const [first] = text.replace(/^\ufeff/, '').trimStart();
  if (first === '<') return formatOfXmlText(text);
  return first === '{' ? 'otio' : 'edl';
}

export interface ProjectChoice {
  /** Reports named by hand; null for those found. */
  readonly alignments: readonly string[] | null;
  readonly tolerance: Tolerance | null;
}

/** The project of the timeline at `path`. Throws a UserError for a report named by hand that can't be read. */
export async function openProject(files: FileSystem, path: string, choice: ProjectChoice): Promise<Project> {
  for (const report of choice.alignments ?? []) {
    const answer = await files.readText(report);
    if (!answer.ok) throw new UserError(`--alignment: ${report} ${answer.reason}`);
  }
  return findProject(files, path, { reports: choice.alignments, base: files.absolute('.') });
}

/** What is wrong with the project, a line each; empty when nothing is. */
export function projectProblems({ settings, problems }: Project): readonly string[] {
  return [...problems.map(({ message }) => message), ...settings.problems.map(({ file, message }) => `${file}: ${message}`)];
}

export function auditTimeline(timeline: TimelineText, project: Project, tolerance: Tolerance | null): Audit {
  const settings: Settings = tolerance === null ? project.settings : { ...project.settings, tolerance };
  return audit({
    format: timeline.format,
    text: timeline.text,
    reports: project.reports.map(({ report }) => report),
    settings,
    assetNames: project.assetNames,
  });
}
