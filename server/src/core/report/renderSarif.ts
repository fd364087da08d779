/**
 * The findings as SARIF 2.1.0 (OASIS standard, 27 March 2020), for code scanning and for viewers.
 *
 * Each finding code is a rule with its page as help. Results carry a fingerprint that does not depend on lines, the places that
 * belong to the finding, and the edit that would put it right. Accepted findings and those of the baseline are not results; how
 * many they are stands in the run's properties.
 */

import { editsForFix } from '../audit.ts';
import { fingerprints, identityOf } from '../review/findingIdentity.ts';
import { allRules } from '../rules/allRules.ts';
import type { Finding, Severity } from '../rules/finding.ts';
import type { Rule } from '../rules/rule.ts';
import { buildLineIndex, type LineIndex } from '../text/lineIndex.ts';
import type { Span } from '../text/span.ts';
import { formatRational } from '../time/rational.ts';
import { type CheckedFile, countLeftOut, type ReportedFinding, textOfFile, totalCount } from './checkedFile.ts';
import type { PlaceNames } from './placeNames.ts';
import { type Region, regionOf } from './regions.ts';
import { rulePage } from './rulePage.ts';
import { fileUri } from './uris.ts';

const SCHEMA = 'https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json';
/** The name of our fingerprint; its number rises when the way it is made changes. */
const FINGERPRINT = 'afterclapFinding/v1';

export interface SarifRun {
  readonly version: string;
  /** Folder of the pages of finding codes, as a URI without a slash at its end; null when they are not at hand. */
  readonly documentationUri: string | null;
  /** What kept the program from doing its job, a sentence each. */
  readonly problems: readonly string[];
  readonly baseline: string | null;
}

/** What the document holds about one file. Made as soon as the file is checked, so that its timeline need not be kept. */
export interface SarifFile {
  readonly results: readonly object[];
  readonly acceptedCount: number;
  readonly leftOutCount: number;
}

/** `others`: the texts of files that findings may point into. */
export function sarifFile(file: CheckedFile, others: PlaceNames): SarifFile {
  const index = buildLineIndex(textOfFile(file));
  const timeline = file.kind === 'timeline' ? file.audit.timeline : null;
  const identities = file.findings.map(({ finding }) => identityOf(finding, index.text, timeline));
  const prints = fingerprints(identities, null);
  return {
    results: file.findings.map((reported, at) => result(file, reported, index, others, prints[at] as string)),
    acceptedCount: file.kind === 'timeline' ? file.audit.accepted.length : 0,
    leftOutCount: totalCount(countLeftOut(file)),
  };
}

/** The whole document, with a line break at its end. */
export function renderSarif(files: readonly SarifFile[], run: SarifRun): string {
  const document = {
    $schema: SCHEMA,
    version: '2.1.0',
    runs: [
      {
        tool: {
          driver: {
            name: 'Afterclap',
            version: run.version,
            semanticVersion: run.version,
            shortDescription: { text: 'Checks that separately recorded sound is where the clap says it belongs.' },
            rules: allRules.map((rule) => ruleMember(rule, run.documentationUri)),
          },
        },
        columnKind: 'utf16CodeUnits',
        invocations: [
          {
            executionSuccessful: run.problems.length === 0,
            toolExecutionNotifications: run.problems.map((text) => ({ level: 'error', message: { text } })),
          },
        ],
        results: files.flatMap(({ results }) => results),
        properties: {
          acceptedFindings: files.reduce((sum, { acceptedCount }) => sum + acceptedCount, 0),
          ...(run.baseline === null
            ? {}
            : { baseline: run.baseline, leftOutByBaseline: files.reduce((sum, { leftOutCount }) => sum + leftOutCount, 0) }),
        },
      },
    ],
  };
  return `${JSON.stringify(document, null, 2)}\n`;
}

function ruleMember(rule: Rule, documentationUri: string | null): object {
  const { title, what, why, whatToDo } = rule.documentation;
  return {
    id: rule.code,
    name: pascalCase(rule.code),
    shortDescription: { text: `${title}.` },
    fullDescription: { text: what },
    help: { text: [what, why, whatToDo].join('\n\n'), markdown: rulePage(rule) },
    ...(documentationUri === null ? {} : { helpUri: `${documentationUri}/${rule.code}.md` }),
    defaultConfiguration: { enabled: rule.defaultSeverity !== 'off', level: levelOf(rule.defaultSeverity) },
    properties: { tags: ['sync'] },
  };
}

function result(
  file: CheckedFile,
  { finding, fix }: ReportedFinding,
  index: LineIndex,
  others: PlaceNames,
  fingerprint: string,
): object {
  const clip = file.kind === 'timeline' ? file.audit.timeline.clips[finding.clips[0] ?? -1] : undefined;
  const track = clip === undefined || file.kind !== 'timeline' ? '' : (file.audit.timeline.tracks[clip.track]?.name ?? '');
  const replacements = file.kind === 'timeline' && fix !== null ? replacementsOf(file, fix, index) : [];
  return {
    ruleId: finding.code,
    ruleIndex: allRules.findIndex(({ code }) => code === finding.code),
    level: levelOf(finding.severity),
    message: { text: finding.message },
    locations: [
      {
        ...physical(file.path, regionOf(index, finding.place.span)),
        ...(clip === undefined
          ? {}
          : { logicalLocations: [{ name: clip.name, fullyQualifiedName: `${track}/${clip.name}`, kind: 'element' }] }),
      },
    ],
    ...(finding.related.length === 0 ? {} : { relatedLocations: relatedLocations(file.path, finding, index, others) }),
    partialFingerprints: { [FINGERPRINT]: fingerprint },
    ...(fix === null || replacements.length === 0
      ? {}
      : {
          fixes: [
            {
              description: { text: fix.title },
              artifactChanges: [{ artifactLocation: { uri: fileUri(file.path) }, replacements }],
            },
          ],
        }),
    properties: {
      ...(finding.picture === null ? {} : { picture: finding.picture }),
      ...(finding.sound === null ? {} : { sound: finding.sound }),
      ...(finding.lag === null
        ? {}
        : { lagSeconds: { head: formatRational(finding.lag.head), tail: formatRational(finding.lag.tail) } }),
      ...(finding.cause === null ? {} : { cause: finding.cause }),
    },
  };
}

function relatedLocations(path: string, finding: Finding, index: LineIndex, others: PlaceNames): readonly object[] {
  return finding.related.map((related, at) => ({
    id: at,
    message: { text: related.message },
    ...placeIn(related.file, path, related.span, index, others),
  }));
}

/** A file whose text is not at hand is named without a region. */
function placeIn(file: string | null, own: string, span: Span, index: LineIndex, others: PlaceNames): object {
  if (file === null) return physical(own, regionOf(index, span));
  const other = others.indexOf(file);
  return physical(file, other === null ? null : regionOf(other, span));
}

function physical(path: string, region: Region | null): object {
  return { physicalLocation: { artifactLocation: { uri: fileUri(path) }, ...(region === null ? {} : { region }) } };
}

function replacementsOf(
  { audit }: CheckedFile & { readonly kind: 'timeline' },
  fix: NonNullable<ReportedFinding['fix']>,
  index: LineIndex,
): readonly object[] {
  const edits = editsForFix(audit, fix);
  if (!edits.ok) return [];
  return edits.edits.map(({ span, newText }) => ({
    deletedRegion: regionOf(index, span),
    insertedContent: { text: newText },
  }));
}

function levelOf(severity: Severity): 'error' | 'warning' | 'note' {
  switch (severity) {
    case 'error':
    case 'warning':
      return severity;
    case 'information':
    case 'off':
      return 'note';
  }
}

function pascalCase(code: string): string {
  return code.replace(/(?:^|-)([a-z])/g, (_match, letter: string) => letter.toUpperCase());
}
