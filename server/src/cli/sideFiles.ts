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
  /** By which findings of timelines name it: from where the program runs. */
  readonly shown: string;
  /** As the person typed it, where they did; else as above. */
  path: string;
  readonly text: string;
  readonly findings: Map<string, Finding>;
  /** Acceptances unused by some timeline, with how many said so. */
  readonly unused: Map<string, { readonly finding: Finding; count: number }>;
  timelineCount: number;
  /** Named on the command line or found in a folder: listed even when nothing is wrong with it. */
  isAskedFor: boolean;
}

export interface SideFiles {
  /** `typed`: the path by which the person asked for it; null when a timeline brought it. */
  readonly addReport: (report: AlignmentReport, settings: Settings, typed: string | null) => void;
  readonly addSettings: (settings: Settings, text: string, typed: string | null) => void;
  /** Findings of a timeline's audit that stand in other files; after its report and settings were added. */
  readonly addFromAudit: (audit: Audit) => void;
  readonly texts: () => ReadonlyMap<string, string>;
  /** In order of path. */
  readonly checked: () => readonly CheckedSideFile[];
}

/** `absolute` gives one name to all spellings of a path. */
export function collectSideFiles(absolute: (path: string) => string): SideFiles {
  const files = new Map<string, SideFile>();
  const fileOf = (path: string | null): SideFile | undefined => (path === null ? undefined : files.get(absolute(path)));
  const add = (format: Format, path: string, text: string, findings: readonly Finding[], typed: string | null): void => {
    const known = fileOf(path) ?? {
      format,
      shown: path,
      path,
      text,
      findings: new Map(),
      unused: new Map(),
      timelineCount: 0,
      isAskedFor: false,
    };
    files.set(absolute(path), known);
    if (typed !== null) {
      known.isAskedFor = true;
      known.path = typed;
    }
    for (const finding of findings) known.findings.set(keyOf(finding), finding);
  };
  return {
    addReport: (report, settings, typed) => add('alignment', report.file, report.text, reportFindings(report, settings), typed),
    addSettings: (settings, text, typed) => {
      if (settings.file !== null) add('settings', settings.file, text, reportFindings(settings, settings), typed);
    },
    addFromAudit: ({ findings, input }) => {
      const own = fileOf(input.settings.file);
      if (own !== undefined) own.timelineCount += 1;
      for (const finding of findings) {
        const file = fileOf(finding.place.file);
        if (file === undefined) continue;
        if (finding.code === 'accepted-unused') countUnused(file, finding);
        else file.findings.set(keyOf(finding), finding);
      }
    },
    texts: () => new Map([...files.values()].map(({ shown, text }) => [shown, text])),
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
