/**
 * What every editor must have seen of the fixtures: a lead of one frame and a lag of three at 24000/1001, that is 2002 and 6006
 * samples at 48 kHz (SMPTE ST 12-1 rates: 48000 x 1001/24000 = 2002 a frame).
 */

import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { expect } from 'vitest';
import { type Seen, wideText } from './editorRun.ts';

const UNDERLINED = {
  'interview.otio': ['241', '897'],
  'interview.edl': ['00:00:10:01', '00:00:37:09'],
  'interview.timeline.xml': ['482482', '1795794'],
} as const;

export function expectFindings(seen: Seen): void {
  for (const [name, texts] of Object.entries(UNDERLINED)) {
    const found = seen[name as keyof typeof UNDERLINED];
    expect(found.map(({ text }) => text)).toEqual(texts);
    expect(found[0]?.message).toContain('Sound deck-01 leads by 41.7 ms (1 frame at 23.976, 2002 samples)');
    expect(found[1]?.message).toContain('Sound deck-01 lags by 125.1 ms (3 frames at 23.976, 6006 samples)');
  }
}

export function expectHover({ hover }: Seen): void {
  expect(hover).toContain('deck-01 leads cam-a-01 by 1 frame (41.7 ms, 2002 samples).');
  expect(hover).toContain('day1.alignment.json is used');
}

/** Only the number that was wrong is another one, and its partner that keeps the length. */
export async function expectFix({ menu, fixed, codes_when_fixed }: Seen): Promise<void> {
  const original = await readFile(join(import.meta.dirname, '..', 'fixtures', 'editor', 'interview.edl'), 'utf8');
  expect(menu[0]).toBe("Slip 'INTERVIEW, QUESTION SOUND' to be heard 1 frame at 23.976 (41.7 ms) later");
  expect(menu).toContain('Fix all safe findings of this timeline');
  expect(fixed.trimEnd()).toBe(original.replace('00:00:10:01 00:00:15:01', '00:00:10:00 00:00:15:00').trimEnd());
  expect(codes_when_fixed).toEqual(['sound-lags']);
}

/** By the new report the clap is heard one frame earlier: what was in leads by one, what lagged by three lags by two. */
export function expectNewReport({ codes_by_new_report }: Seen): void {
  expect([...codes_by_new_report].sort()).toEqual(['sound-lags', 'sound-leads', 'sound-leads', 'sound-leads']);
}

/** Columns behind characters that are one, two and four bytes, one and two UTF-16 units. */
export async function expectWideColumns({ wide, wide_fixed }: Seen): Promise<void> {
  expect(wide.map(({ text }) => text)).toEqual(['241', '897']);
  expect(wide_fixed.trimEnd()).toBe((await wideText()).replace('"value":241', '"value":240'));
}

export function expectNavigation(seen: Seen): void {
  expect(seen.definition).toContain('"deck-01"');
  // Four clips in each of three timelines and the wide one, the pair; the entry itself where the editor asks for it.
  expect([17, 18]).toContain(seen.references);
  expect(seen.outline.join('\n')).toContain('Hands on the lathe');
  expect(seen.renamed).toEqual(['day1.alignment.json', 'interview.otio', 'interview.timeline.xml', 'wide.otio']);
}
