/**
 * Reports and settings files met in a run, each once, with the findings on their own characters.
 *
 * Several timelines share them. What is wrong with the file itself is said once; an acceptance in the settings is only unused
 * when none of the timelines checked uses it.
 */

import type { AlignmentReport } from '../core/alignment/model.ts';
import type { Settings } from '../core/alignment/settings.ts';
import { type Audit, reportFindings } from '../core/audit.ts';
import { type CheckedSideFile, checkedSideFile } from '../core/report/checkedFile.ts';
import type { Finding } from '../core/rules/finding.ts';

type Format = CheckedSideFile['format'];

interface SideFile {
  readonly format: Format;
  readonly path: string;
  readonly text: string;
  readonly findings: Map<string, Finding>;
  /** Acceptances unused by some timeline, with how many said so. */
  readonly unused: Map<string, { readonly finding: Finding; count: number }>;
  timelineCount: number;
  /** Named on the command line or found in a folder: listed even when nothing is wrong with it. */
  isAskedFor: boolean;
}

export interface SideFiles {
  readonly addReport: (report: AlignmentReport, settings: Settings, isAskedFor: boolean) => void;
  readonly addSettings: (settings: Settings, text: string, isAskedFor: boolean) => void;
  /** Findings of a timeline's audit that stand in other files; after its report and settings were added. */
  readonly addFromAudit: (audit: Audit) => void;
  readonly texts: () => ReadonlyMap<string, string>;
  /** In order of path. */
  readonly checked: () => readonly CheckedSideFile[];
}

export function collectSideFiles(): SideFiles {
  const files = new Map<string, SideFile>();
  const add = (format: Format, path: string, text: string, findings: readonly Finding[], isAskedFor: boolean): void => {
    const known = files.get(path) ?? { format, path, text, findings: new Map(), unused: new Map(), timelineCount: 0, isAskedFor };
    files.set(path, known);
    known.isAskedFor ||= isAskedFor;
    for (const finding of findings) known.findings.set(keyOf(finding), finding);
  };
  return {
    addReport: (report, settings, isAskedFor) =>
      add('alignment', report.file, report.text, reportFindings(report, settings), isAskedFor),
    addSettings: (settings, text, isAskedFor) => {
      if (settings.file !== null) add('settings', settings.file, text, reportFindings(settings, settings), isAskedFor);
    },
    addFromAudit: ({ findings, input }) => {
      const own = files.get(input.settings.file ?? '');
      if (own !== undefined) own.timelineCount += 1;
      for (const finding of findings) {
        const file = files.get(finding.place.file ?? '');
        if (file === undefined) continue;
        if (finding.code === 'accepted-unused') countUnused(file, finding);
        else file.findings.set(keyOf(finding), finding);
      }
    },
    texts: () => new Map([...files.values()].map(({ path, text }) => [path, text])),
    checked: () =>
      [...files.values()]
        .map((file) => ({ file, findings: allFindings(file) }))
        .filter(({ file, findings }) => file.isAskedFor || findings.length > 0)
        .sort((left, right) => (left.file.path < right.file.path ? -1 : 1))
        .map(({ file, findings }) => checkedSideFile(file.format, file.path, file.text, findings)),
  };
}

function countUnused(file: SideFile, finding: Finding): void {
  const known = file.unused.get(keyOf(finding)) ?? { finding, count: 0 };
  known.count += 1;
  file.unused.set(keyOf(finding), known);
}

function allFindings(file: SideFile): readonly Finding[] {
  const unused = [...file.unused.values()].filter(({ count }) => count === file.timelineCount).map(({ finding }) => finding);
  return [...file.findings.values(), ...unused].sort((left, right) => left.place.span.start - right.place.span.start);
}

function keyOf({ code, place, message }: Finding): string {
  return `${code} ${place.span.start} ${place.span.end} ${message}`;
}
