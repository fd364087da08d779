/**
 * Findings to the protocol's diagnostics. One function serves push and pull.
 *
 * Invariants
 * - At most `LARGEST_DIAGNOSTIC_COUNT` per document, the gravest kept; when any is left out, one says so.
 * - A diagnostic's data names the finding well enough to find it again in a fresh audit; nothing else is kept for it.
 * - Findings that stand in another file are not lost: they are shown at the head of this one, with a link to their place.
 *
 * Cost: all spans of one text are converted in one walk.
 */

import {
  type Diagnostic,
  type DiagnosticRelatedInformation,
  DiagnosticSeverity,
  DiagnosticTag,
  type Range,
} from 'vscode-languageserver';
import { ruleFor } from '../core/rules/allRules.ts';
import type { Finding, RelatedPlace } from '../core/rules/finding.ts';
import type { LineIndex } from '../core/text/lineIndex.ts';
import type { Span } from '../core/text/span.ts';
import type { ClientAbilities } from './capabilities.ts';
import { rangesOf } from './positions.ts';

/** Editors show no more per file. */
const LARGEST_DIAGNOSTIC_COUNT = 1000;

/** A text that findings may point into, besides the document itself. */
export interface LinkedFile {
  readonly uri: string;
  readonly index: LineIndex;
}

export interface DiagnosticInput {
  readonly uri: string;
  readonly index: LineIndex;
  readonly findings: readonly Finding[];
  /** Text of a file by the name that findings give it; null when it is not known. */
  readonly fileNamed: (file: string) => LinkedFile | null;
  readonly abilities: ClientAbilities;
  /** Folder of the pages of the codes; null when there are none. */
  readonly documentationUri: string | null;
}

/** What a diagnostic carries so that its finding can be found again. */
export interface DiagnosticData {
  readonly code: string;
  readonly clips: readonly number[];
}

export function diagnosticsOf(input: DiagnosticInput): readonly Diagnostic[] {
  const { findings } = input;
  const shown = findings.length <= LARGEST_DIAGNOSTIC_COUNT ? findings : gravest(findings, LARGEST_DIAGNOSTIC_COUNT - 1);
  const ranges = rangesIn(input, shown);
  const diagnostics = shown.map((finding) => diagnosticOf(input, finding, ranges));
  if (shown.length < findings.length) diagnostics.unshift(limitNotice(shown.length, findings.length));
  return diagnostics;
}

/** Of equally grave findings, those that stand first in the text. */
function gravest(findings: readonly Finding[], count: number): readonly Finding[] {
  const order = { error: 0, warning: 1, information: 2 };
  const kept = new Set([...findings].sort((left, right) => order[left.severity] - order[right.severity]).slice(0, count));
  return findings.filter((finding) => kept.has(finding));
}

function limitNotice(shownCount: number, findingCount: number): Diagnostic {
  const head = { line: 0, character: 0 };
  return {
    range: { start: head, end: head },
    severity: DiagnosticSeverity.Information,
    source: 'afterclap',
    message: `This timeline has ${findingCount} findings; only the ${shownCount} gravest are shown here. Run 'afterclap check' on it for all of them.`,
  };
}

type FindRange = (span: Span) => Range | null;

/** Looks up ranges made in advance, by the identity of the span: one walk for each text that any finding points into. */
function rangesIn(input: DiagnosticInput, findings: readonly Finding[]): FindRange {
  const spansByFile = new Map<string | null, Span[]>();
  const want = (file: string | null, span: Span): void => {
    const spans = spansByFile.get(file);
    if (spans === undefined) spansByFile.set(file, [span]);
    else spans.push(span);
  };
  for (const { place, related } of findings) {
    want(place.file, place.span);
    for (const other of related) want(other.file, other.span);
  }
  const ranges = new Map<Span, Range>();
  for (const [file, spans] of spansByFile) {
    const index = file === null ? input.index : (input.fileNamed(file)?.index ?? null);
    if (index === null) continue;
    const converted = rangesOf(index, spans, input.abilities.columnUnit);
    for (const [at, span] of spans.entries()) ranges.set(span, converted[at] as Range);
  }
  return (span) => ranges.get(span) ?? null;
}

function diagnosticOf(input: DiagnosticInput, finding: Finding, rangeOfPlace: FindRange): Diagnostic {
  const { abilities, documentationUri } = input;
  const { place } = finding;
  const isElsewhere = place.file !== null;
  const head = { line: 0, character: 0 };
  const diagnostic: Diagnostic = {
    range: isElsewhere ? { start: head, end: head } : (rangeOfPlace(place.span) as Range),
    severity: SEVERITIES[finding.severity],
    code: finding.code,
    source: 'afterclap',
    message: isElsewhere ? `In ${place.file}: ${finding.message}` : finding.message,
  };
  if (abilities.showsCodeDescription && documentationUri !== null) {
    diagnostic.codeDescription = { href: `${documentationUri}/${finding.code}.md` };
  }
  const here: readonly RelatedPlace[] = isElsewhere ? [{ ...place, message: 'stands here' }] : [];
  const related = abilities.showsRelatedInformation ? relatedOf(input, [...here, ...finding.related], rangeOfPlace) : [];
  if (related.length > 0) diagnostic.relatedInformation = [...related];
  const tags = abilities.showsTags ? tagsOf(finding) : [];
  if (tags.length > 0) diagnostic.tags = [...tags];
  if (abilities.keepsDiagnosticData) {
    diagnostic.data = { code: finding.code, clips: finding.clips } satisfies DiagnosticData;
  }
  return diagnostic;
}

const SEVERITIES: Readonly<Record<Finding['severity'], DiagnosticSeverity>> = {
  error: DiagnosticSeverity.Error,
  warning: DiagnosticSeverity.Warning,
  information: DiagnosticSeverity.Information,
};

function relatedOf(
  input: DiagnosticInput,
  places: readonly RelatedPlace[],
  rangeOfPlace: FindRange,
): readonly DiagnosticRelatedInformation[] {
  return places.flatMap(({ file, span, message }) => {
    const uri = file === null ? input.uri : input.fileNamed(file)?.uri;
    const range = rangeOfPlace(span);
    return uri === undefined || range === null ? [] : [{ location: { uri, range }, message }];
  });
}

function tagsOf({ code }: Finding): readonly DiagnosticTag[] {
  const { isUnnecessary, isDeprecated } = ruleFor(code);
  if (isUnnecessary === true) return [DiagnosticTag.Unnecessary];
  return isDeprecated === true ? [DiagnosticTag.Deprecated] : [];
}
