/**
 * The findings as a Code Quality report of GitLab: a JSON array, each finding with a fingerprint of its own.
 *
 * Members are those of the documentation 'Code Quality', section on custom tools: description, check_name, fingerprint, severity and
 * location with path and lines. The path is relative to the repository, so the program has to run at its top.
 */

import { fingerprints, identityOf } from '../review/findingIdentity.ts';
import { buildLineIndex } from '../text/lineIndex.ts';
import { type CheckedFile, type ShownSeverity, textOfFile } from './checkedFile.ts';
import { regionOf } from './regions.ts';

/** Of info, minor, major, critical and blocker. */
const SEVERITIES: Readonly<Record<ShownSeverity, string>> = { error: 'major', warning: 'minor', information: 'info' };

/** The entries of one file. */
export function gitlabFile(file: CheckedFile): readonly object[] {
  const index = buildLineIndex(textOfFile(file));
  const timeline = file.kind === 'timeline' ? file.audit.timeline : null;
  const path = file.path.replaceAll('\\', '/').replace(/^(?:\.\/)+/, '');
  const prints = fingerprints(
    file.findings.map(({ finding }) => identityOf(finding, index.text, timeline)),
    path,
  );
  return file.findings.map(({ finding }, at) => {
    const { startLine, endLine } = regionOf(index, finding.place.span);
    return {
      description: finding.message,
      check_name: finding.code,
      fingerprint: prints[at],
      severity: SEVERITIES[finding.severity],
      location: { path, lines: { begin: startLine, end: endLine } },
    };
  });
}

/** The whole document; without a byte order mark, which GitLab refuses. */
export function renderGitlab(entries: readonly object[]): string {
  return `${JSON.stringify(entries, null, 2)}\n`;
}
