/**
 * Audits of open documents, each done once per text and project.
 *
 * The answer is kept beside the document it is for and goes with it, so nothing has to be cleaned up. Project files are
 * looked up first, which may wait; the audit itself runs in one go and is timed.
 */

import { readReport } from '../core/alignment/readReport.ts';
import { type Audit, audit, auditAgain, reportFindings } from '../core/audit.ts';
import type { Finding } from '../core/rules/finding.ts';
import type { FormatId } from '../core/timeline/model.ts';
import { documentKindOf, fileNameOf } from './documentKind.ts';
import type { Timers } from './ports.ts';
import { type DocumentProject, isOwnSettings, type ProjectSource } from './projects.ts';
import type { OpenDocument } from './textStore.ts';

export interface AuditedDocument {
  readonly document: OpenDocument;
  readonly project: DocumentProject;
  /** Null for reports and settings files. */
  readonly result: Audit | null;
  readonly findings: readonly Finding[];
  /** Time of the audit alone. */
  readonly milliseconds: number;
}

export interface Audits {
  /** Null for documents that are none of ours. */
  readonly of: (document: OpenDocument) => Promise<AuditedDocument | null>;
  /** Lets go of what was kept of a document that is open no more. */
  readonly closed: (uri: string) => void;
}

export function createAudits(projects: ProjectSource, timers: Timers): Audits {
  const known = new WeakMap<OpenDocument, AuditedDocument>();
  // The last audit of each open document, of whichever version: it makes the next one cheap and decides nothing.
  const latest = new Map<string, Audit>();
  return {
    closed: (uri) => {
      latest.delete(uri);
    },
    of: async (document) => {
      const kind = documentKindOf(document.uri, document.languageId);
      if (kind === null) return null;
      const project = await projects.projectOf(document.uri);
      const before = known.get(document);
      if (before !== undefined && before.project === project) return before;
      const startedAt = timers.now();
      const { text } = document.index;
      const result = kind.kind === 'timeline' ? auditTimeline(kind.format, text, project, latest.get(document.uri)) : null;
      if (result !== null) latest.set(document.uri, result);
      const findings =
        result === null ? ownFindings(kind.kind, document, project) : [...result.findings, ...projectFindings(project)];
      const audited = { document, project, result, findings, milliseconds: timers.now() - startedAt };
      known.set(document, audited);
      return audited;
    },
  };
}

function auditTimeline(format: FormatId, text: string, project: DocumentProject, previous: Audit | undefined): Audit {
  const { settings, assetNames } = project;
  const input = { format, text, reports: project.reports.map(({ report }) => report), settings, assetNames };
  return previous === undefined ? audit(input) : auditAgain(previous, input);
}

/**
 * What a person who looks at a timeline must know of the files it is checked with: those that can't be read, and one line
 * for each that has errors of its own, since less was checked then than it seems. The errors themselves stand in that file.
 */
function projectFindings(project: DocumentProject): readonly Finding[] {
  const files = [...project.reports.map(({ report }) => report), project.settings];
  const broken = files.flatMap((file) => {
    const errors = reportFindings(file, project.settings).filter(({ severity }) => severity === 'error');
    const [first] = errors;
    return first === undefined ? [] : [summaryOf(first, errors.length)];
  });
  return [...reportFindings({ problems: project.problems }, project.settings), ...broken];
}

function summaryOf(first: Finding, count: number): Finding {
  if (count === 1) return first;
  return { ...first, message: `${first.message} (${count} errors in this file; this is the first.)` };
}

/** Findings of a report or settings file on itself: its own text is the one to point into, whatever it is called elsewhere. */
function ownFindings(
  kind: 'timeline' | 'alignment' | 'settings',
  document: OpenDocument,
  project: DocumentProject,
): readonly Finding[] {
  const file =
    kind === 'alignment'
      ? readReport(fileNameOf(document.uri), document.index.text)
      : isOwnSettings(project, document.uri)
        ? project.settings
        : { problems: [] };
  return reportFindings(file, project.settings).map((finding) => ({ ...finding, place: { ...finding.place, file: null } }));
}
