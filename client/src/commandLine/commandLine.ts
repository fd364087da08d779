/**
 * Running our own command line from the editor: the port that the commands see.
 *
 * The desktop and remote hosts have one (`node/processCommandLine.ts`); in a browser there is no process to start, so there is none.
 * Knows neither the editor nor processes.
 */

export interface CommandRun {
  /** 0 and 1: it did its job. 2: it could not, or not for everything. Null: it was ended from outside. */
  readonly exitCode: number | null;
  readonly output: string;
  /** Lines of standard error that are no progress, without the name of the program before them. */
  readonly messages: readonly string[];
}

export interface CommandRequest {
  /** The command and its words; no shell reads them. */
  readonly words: readonly string[];
  /** Relative paths among the words, and in what is printed, start here. */
  readonly folder: string;
  /** Objects of `--progress json`, as they come. */
  readonly onProgress?: (event: ProgressEvent) => void;
  /** All that is printed, as it comes: output in any pieces, messages in whole lines as they were written. */
  readonly onText?: (text: string) => void;
  /** Aborting asks the command to stop by itself, which leaves no half file. */
  readonly signal?: AbortSignal;
}

/** Never rejects: a process that can't be started is a run with exit code null and a message. */
export type CommandLine = (request: CommandRequest) => Promise<CommandRun>;

export interface ProgressEvent {
  /** From 0 to 1. */
  readonly share: number;
  readonly step: string;
  /** 'about 20 s left'; null when that can't be told yet. */
  readonly timeLeft: string | null;
  /** On the last one only. */
  readonly done: MeasureSummary | null;
}

export interface MeasureSummary {
  readonly pairs: number;
  readonly leftOver: readonly { readonly severity: string; readonly name: string; readonly reason: string }[];
  /** The file that was written; null when none was. */
  readonly report: string | null;
}

/** Null for a line that is a message to people. */
export function progressOf(line: string): ProgressEvent | null {
  if (!line.startsWith('{')) return null;
  try {
    const { share, step, timeLeft, done } = JSON.parse(line) as Partial<ProgressEvent>;
    if (typeof share !== 'number' || typeof step !== 'string') return null;
    return { share, step, timeLeft: timeLeft ?? null, done: done ?? null };
  } catch {
    return null;
  }
}

/** A line of standard error as a sentence of its own; null for an empty one. */
export function messageOf(line: string): string | null {
  const text = line.replace(/^afterclap: /, '').trim();
  return text === '' ? null : text;
}
