/**
 * Alignment reports for tests, written as a person would write them.
 */

export interface TestPair {
  readonly picture: string;
  readonly sound: string;
  readonly frame: number;
  readonly sample: number;
  readonly driftPpm?: number;
  readonly uncertaintyMs?: { readonly early: number; readonly late: number };
  readonly clap?: number;
}

export interface TestReport {
  readonly pictures: Readonly<Record<string, object>>;
  readonly sounds: Readonly<Record<string, object>>;
  readonly pairs: readonly TestPair[];
}

export function writeTestReport(report: TestReport): string {
  const pairs = report.pairs.map(({ frame, sample, ...rest }) => ({ ...rest, at: { frame, sample } }));
  return `${JSON.stringify({ alignment: 1, pictures: report.pictures, sounds: report.sounds, pairs }, null, 2)}\n`;
}
