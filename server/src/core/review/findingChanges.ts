/**
 * Findings that appeared between two versions of a cut, and findings that went away.
 *
 * Findings are followed through their clips, not through lines or messages: one on a clip that moved is the same finding. One
 * that got worse, by severity or by lag, counts as appeared, with what it was before.
 */

import type { Audit } from '../audit.ts';
import type { Finding } from '../rules/finding.ts';
import { absolute, compare, maximum, type Rational } from '../time/rational.ts';
import { identityKey, identityOf } from './findingIdentity.ts';

export interface FindingChanges {
  /** In text order of the new version. */
  readonly appeared: readonly AppearedFinding[];
  /** In text order of the old version. */
  readonly gone: readonly Finding[];
  /** How many stayed as they were, or got smaller. */
  readonly stayedCount: number;
}

export interface AppearedFinding {
  readonly finding: Finding;
  /** The same finding in the old version, where it was smaller; null when it was not there. */
  readonly before: Finding | null;
}

const SEVERITY_ORDER: readonly Finding['severity'][] = ['information', 'warning', 'error'];

/** `oldOf`: by index of a new clip, the old clip it is; -1 for none. */
export function findingChanges(old: Audit, now: Audit, oldOf: Int32Array): FindingChanges {
  const waiting = new Map<string, Finding[]>();
  for (const finding of old.findings) {
    const key = keyOf(finding, old, (clip) => clip);
    const group = waiting.get(key);
    if (group === undefined) waiting.set(key, [finding]);
    else group.push(finding);
  }
  const known = new Map([...waiting].map(([key, findings]) => [key, findings[0] as Finding]));
  const appeared: AppearedFinding[] = [];
  let stayedCount = 0;
  for (const finding of now.findings) {
    const key = keyOf(finding, now, (clip) => oldOf[clip] as number);
    // Parts of one clip share its finding; only where none is left to match, one more of the same has come.
    const before = waiting.get(key)?.shift() ?? (isOnClips(finding) ? known.get(key) : undefined) ?? null;
    if (before === null || isWorse(before, finding)) appeared.push({ finding, before });
    else stayedCount += 1;
  }
  const left = new Set([...waiting.values()].flat());
  return { appeared, gone: old.findings.filter((finding) => left.has(finding)), stayedCount };
}

function keyOf(finding: Finding, audit: Audit, oldClip: (clip: number) => number): string {
  const file = finding.place.file ?? '';
  if (!isOnClips(finding)) return `${file} ${identityKey(identityOf(finding, textOf(finding, audit), null))}`;
  // Two clips that are new have no old number, so they never share a key with an old finding.
  return `${file} ${finding.code} ${finding.clips.map((clip) => (oldClip(clip) === -1 ? `new ${clip}` : oldClip(clip))).join(' ')}`;
}

/** The text a finding stands in; that of a report is the same for both versions. */
function textOf({ place }: Finding, { input }: Audit): string {
  return place.file === null ? input.text : (input.reports.find(({ file }) => file === place.file)?.text ?? '');
}

function isOnClips({ clips }: Finding): boolean {
  return clips.length > 0;
}

function isWorse(before: Finding, after: Finding): boolean {
  if (SEVERITY_ORDER.indexOf(after.severity) > SEVERITY_ORDER.indexOf(before.severity)) return true;
  if (before.lag === null || after.lag === null) return false;
  return compare(greatest(after.lag), greatest(before.lag)) > 0;
}

function greatest({ head, tail }: { readonly head: Rational; readonly tail: Rational }): Rational {
  return maximum(absolute(head), absolute(tail));
}
