/**
 * The baseline: findings a project had when it began to be checked, so that only new ones fail it.
 *
 * It is a JSON file people can read and review. Each entry says what the finding is, in the terms of findingIdentity.ts, and how
 * often the file has it. Nothing in it depends on line numbers. Paths are relative to the baseline's own folder, with `/`.
 */

import { FINDING_CODES, type FindingCode } from '../rules/finding.ts';
import { type FindingIdentity, identityKey } from './findingIdentity.ts';

const BASELINE_VERSION = 1;

export interface BaselineEntry extends FindingIdentity {
  readonly file: string;
  readonly count: number;
}

export interface Baseline {
  readonly entries: readonly BaselineEntry[];
}

export type BaselineReading =
  | { readonly ok: true; readonly baseline: Baseline }
  /** The rest of a sentence that begins with the path. */
  | { readonly ok: false; readonly reason: string };

/** Findings of one file, parted. */
export interface BaselineSplit<Item> {
  readonly kept: readonly Item[];
  readonly leftOut: readonly Item[];
  /** Entries of this file that occur less often than the baseline says, with how many are missing as their count. */
  readonly gone: readonly BaselineEntry[];
}

/** Never throws; anything but a baseline of this version is refused, since half a baseline would hide or shout at random. */
export function readBaseline(text: string): BaselineReading {
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch {
    return { ok: false, reason: 'is not valid JSON, so it is no baseline' };
  }
  if (!isObject(value) || !Array.isArray(value['findings']))
    return { ok: false, reason: 'is no baseline: an object with "baseline" and "findings" is expected' };
  if (value['baseline'] !== BASELINE_VERSION) {
    return {
      ok: false,
      reason: `is a baseline of version ${JSON.stringify(value['baseline']) ?? 'none'}; this program reads version ${BASELINE_VERSION}: write it again with --write-baseline`,
    };
  }
  const entries: BaselineEntry[] = [];
  for (const [index, item] of value['findings'].entries()) {
    const entry = entryOf(item);
    if (entry === null) return { ok: false, reason: `has a finding that is not in the form of a baseline, number ${index + 1}` };
    entries.push(entry);
  }
  return { ok: true, baseline: { entries } };
}

/** Entries in order of file, then as found; one line each, so that a line diff shows what came and went. */
export function writeBaseline({ entries }: Baseline): string {
  const lines = entries
    .toSorted((left, right) => (left.file < right.file ? -1 : left.file > right.file ? 1 : 0))
    .map(({ file, code, clips, lag, on, count }) => `    ${JSON.stringify({ file, code, clips, lag, on, count })}`);
  const findings = lines.length === 0 ? '[]' : `[\n${lines.join(',\n')}\n  ]`;
  return `{\n  "baseline": ${BASELINE_VERSION},\n  "findings": ${findings}\n}\n`;
}

/** What a baseline says of the findings of one file. */
export function entriesOf(file: string, identities: readonly FindingIdentity[]): readonly BaselineEntry[] {
  const counts = new Map<string, BaselineEntry>();
  for (const identity of identities) {
    const key = identityKey(identity);
    counts.set(key, { file, ...identity, count: (counts.get(key)?.count ?? 0) + 1 });
  }
  return [...counts.values()];
}

/** Leaves out as many findings of each identity as the baseline has of it for this file, the first ones. */
export function splitByBaseline<Item>(
  baseline: Baseline,
  file: string,
  items: readonly Item[],
  identity: (item: Item) => FindingIdentity,
): BaselineSplit<Item> {
  const left = new Map<string, { readonly entry: BaselineEntry; count: number }>();
  for (const entry of baseline.entries) {
    if (entry.file !== file) continue;
    const key = identityKey(entry);
    left.set(key, { entry, count: (left.get(key)?.count ?? 0) + entry.count });
  }
  const kept: Item[] = [];
  const leftOut: Item[] = [];
  for (const item of items) {
    const known = left.get(identityKey(identity(item)));
    if (known === undefined || known.count === 0) {
      kept.push(item);
    } else {
      known.count -= 1;
      leftOut.push(item);
    }
  }
  const gone = [...left.values()].filter(({ count }) => count > 0).map(({ entry, count }) => ({ ...entry, count }));
  return { kept, leftOut, gone };
}

function entryOf(item: unknown): BaselineEntry | null {
  if (!isObject(item)) return null;
  const { file, code, clips, lag, on, count } = item;
  const known = FINDING_CODES.find((candidate): candidate is FindingCode => candidate === code);
  if (typeof file !== 'string' || known === undefined || !isTextList(clips)) return null;
  if (on !== null && typeof on !== 'string') return null;
  if (typeof count !== 'number' || !Number.isInteger(count) || count < 1) return null;
  if (lag === null) return { file, code: known, clips, lag, on, count };
  const [head, tail, ...rest] = isTextList(lag) ? lag : [];
  if (head === undefined || tail === undefined || rest.length > 0) return null;
  return { file, code: known, clips, lag: [head, tail], on, count };
}

function isTextList(value: unknown): value is readonly string[] {
  return Array.isArray(value) && value.every((item) => typeof item === 'string');
}

function isObject(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}
