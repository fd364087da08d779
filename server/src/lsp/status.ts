/**
 * What the client shows about a timeline beside its findings: which report it is checked against, and why.
 */

import type { Finding } from '../core/rules/finding.ts';
import { rateLabel } from '../core/time/rate.ts';
import type { AuditedDocument } from './audits.ts';
import type { FileLink, TimelineStatus } from './messages.ts';
import type { DocumentProject } from './projects.ts';

/** Null for documents that are no timeline. */
export function statusOf(audited: AuditedDocument): TimelineStatus | null {
  const { document, project, result, milliseconds } = audited;
  if (result === null) return null;
  const count = (severity: Finding['severity']): number =>
    result.findings.filter((finding) => finding.severity === severity).length;
  return {
    uri: document.uri,
    version: document.version,
    reports: project.reports.map(({ report, path }) => ({ label: report.file, uri: path })),
    reportReason: project.reason,
    settings: settingsLink(project),
    rate: rateLabel(result.timeline.rate),
    rateReason: result.timeline.rateReason,
    errorCount: count('error'),
    warningCount: count('warning'),
    informationCount: count('information'),
    acceptedCount: result.accepted.length,
    comparisonCount: result.comparisons.length,
    clipCount: result.timeline.clips.length,
    unreadableCount: result.findings.filter(({ code }) => code === 'unreadable').length,
    milliseconds: Math.round(milliseconds * 10) / 10,
  };
}

function settingsLink({ settings, settingsFile }: DocumentProject): FileLink | null {
  return settingsFile === null ? null : { label: settings.file ?? settingsFile.path, uri: settingsFile.path };
}
