/**
 * Check values kept beside the repository, where they exist: the same facts as the tests hold inline, and many more.
 *
 * A clone elsewhere has no such folder; tests then run on their inline values and say that the rest was skipped.
 */

import { existsSync, readFileSync } from 'node:fs';
import { resolve } from 'node:path';

export interface Check {
  readonly id: string;
  readonly topic: string;
  readonly input: Readonly<Record<string, string | number | boolean>>;
  readonly expected: Readonly<Record<string, string | number | boolean | readonly number[]>>;
  readonly tolerance: number | null;
  readonly source: string;
}

const path = resolve(import.meta.dirname, '../../../../shared/reference/checks.json');

const hasSharedChecks = existsSync(path);

/** The checks of one topic and operation; empty, with a line on the console, when the folder is not there. */
export function sharedChecks(topic: string, operation: string): readonly Check[] {
  if (!hasSharedChecks) {
    console.log(`skipped: no shared check values for ${topic}/${operation} beside the repository`);
    return [];
  }
  const all = JSON.parse(readFileSync(path, 'utf8')) as readonly Check[];
  return all.filter((check) => check.topic === topic && check.input['op'] === operation);
}

/** `30000/1001` or `25/1` as the two numbers of a rate. */
export function ratePair(text: string): readonly [number, number] {
  const [numerator = '0', denominator = '1'] = text.split('/');
  return [Number(numerator), Number(denominator)];
}
