/**
 * What `afterclap compare --format json` prints, as far as it is shown here. The words in it are the command's own.
 */

export interface ReviewData {
  /** As the command names it: 'HEAD:cut/cut.otio'. */
  readonly old: { readonly path: string };
  readonly new: { readonly path: string };
  /** Which report was used, and why. */
  readonly report: string;
  readonly headline: string;
  readonly timeline: readonly { readonly text: string }[];
  readonly sync: readonly { readonly soundClip: ReviewedClip; readonly text: string }[];
  readonly findings: {
    readonly appeared: readonly (ReviewedFinding & { readonly before: ReviewedFinding | null })[];
    readonly gone: readonly ReviewedFinding[];
    /** There, and accepted since, by a person who gave a reason. */
    readonly accepted: readonly (ReviewedFinding & { readonly reason: string })[];
  };
  readonly blocks: readonly { readonly clips: readonly ReviewedClip[]; readonly text: string }[];
  readonly clips: readonly {
    readonly old: readonly ReviewedClip[];
    readonly new: readonly ReviewedClip[];
    readonly text: string;
  }[];
  /** What did not change, in numbers; null when nothing changed at all. */
  readonly rest: string | null;
}

export interface ReviewedClip {
  readonly name: string;
  readonly range: ReviewedRange;
}

export interface ReviewedFinding {
  readonly code: string;
  readonly severity: string;
  readonly message: string;
  /** Null for a finding in a report, whose place `check` tells. */
  readonly range: ReviewedRange | null;
}

/** Lines and columns count from 1, columns in UTF-16 units. */
export interface ReviewedRange {
  readonly start: { readonly line: number; readonly column: number };
  readonly end: { readonly line: number; readonly column: number };
}

/** Null when `output` is no review: the command could not do its job. */
export function parseReview(output: string): ReviewData | null {
  try {
    const data = JSON.parse(output) as Partial<ReviewData> | null;
    return typeof data?.headline === 'string' ? (data as ReviewData) : null;
  } catch {
    return null;
  }
}
