/**
 * Findings that appeared between two versions of a cut, and findings that went away.
 *
 * Findings are followed through their clips, not through lines or messages: one on a clip that moved is the same finding. One
 * that got worse, by severity or by lag, counts as appeared, with what it was before. One that is accepted now has not gone: what
 * was silenced is told, with the reason that was given.
 */

import type { Audit } from '../audit.ts';
import type { AcceptedFinding } from '../rules/acceptance.ts';
import type { Finding } from '../rules/finding.ts';
import { groupBy } from '../rules/groupBy.ts';
import { absolute, compare, maximum, type Rational } from '../time/rational.ts';
import type { Clip } from '../timeline/model.ts';
import { identityKey, identityOf } from './findingIdentity.ts';

export interface FindingChanges {
  /** In text order of the new version. */
  readonly appeared: readonly AppearedFinding[];
  /** In text order of the old version. */
  readonly gone: readonly Finding[];
  /** Findings of the new version that an acceptance silences and that were not accepted before. */
  readonly silenced: readonly AcceptedFinding[];
  /** How many stayed as they were, or got smaller. */
  readonly stayedCount: number;
}

interface AppearedFinding {
  readonly finding: Finding;
  /** The same finding in the old version, where it was smaller; null when it was not there. */
  readonly before: Finding | null;
}

const SEVERITY_ORDER: readonly Finding['severity'][] = ['information', 'warning', 'error'];

/** `oldOf`: by index of a new clip, the old clip it is; -1 for none. */
export function findingChanges(old: Audit, now: Audit, oldOf: Int32Array): FindingChanges {
  const waiting = new Map<string, Finding[]>();
  const known = new Map<string, Finding>();
  const oldKeys = keyMaker(old, (clip) => clip);
  const newKeys = keyMaker(now, (clip) => oldOf[clip] as number);
  for (const finding of old.findings) {
    const [key, ...twins] = oldKeys(finding);
    const group = waiting.get(key);
    if (group === undefined) waiting.set(key, [finding]);
    else group.push(finding);
    for (const each of [key, ...twins]) if (!known.has(each)) known.set(each, finding);
  }
  const appeared: AppearedFinding[] = [];
  let stayedCount = 0;
  for (const finding of now.findings) {
    const [key, ...twins] = newKeys(finding);
    // Parts of one clip share its finding; only where none is left to match, one more of the same has come.
    const before = waiting.get(key)?.shift() ?? (isOnClips(finding) ? known.get(key) : undefined) ?? null;
    for (const twin of twins) waiting.get(twin)?.shift();
    if (before === null || isWorse(before, finding)) appeared.push({ finding, before });
    else stayedCount += 1;
  }
  const acceptedBefore = new Set(old.accepted.flatMap(({ finding }) => oldKeys(finding)));
  const silenced = now.accepted.filter(({ finding }) => !newKeys(finding).some((key) => acceptedBefore.has(key)));
  for (const { finding } of now.accepted) for (const key of newKeys(finding)) waiting.get(key)?.shift();
  const left = new Set([...waiting.values()].flat());
  return { appeared, gone: old.findings.filter((finding) => left.has(finding)), silenced, stayedCount };
}

/**
 * The keys of a finding in the numbers of the old version: its own first, then those of the clips that share its characters. One
 * event of a list stands on several channels and has one finding; other formats have one for each channel.
 */
function keyMaker(audit: Audit, oldClip: (clip: number) => number): (finding: Finding) => readonly [string, ...string[]] {
  const { clips } = audit.timeline;
  let groups: ReadonlyMap<number, readonly Clip[]> | null = null;
  const name = (clip: number): string => {
    const known = oldClip(clip);
    // Two clips that are new have no old number, so they never share a key with an old finding.
    return known === -1 ? `new ${clip}` : String(known);
  };
  return (finding) => {
    const start = `${finding.place.file ?? ''} ${finding.code}`;
    const [first, ...others] = finding.clips;
    if (first === undefined) return [`${start} ${identityKey(identityOf(finding, textOf(finding, audit), null))}`];
    const keyWith = (clip: number): string => [start, name(clip), ...others.map(name)].join(' ');
    groups ??= groupBy(clips, (clip) => clip.textGroup);
    const twins = groups.get(clips[first]?.textGroup ?? -1) ?? [];
    return [keyWith(first), ...twins.filter(({ index }) => index !== first).map(({ index }) => keyWith(index))];
  };
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
