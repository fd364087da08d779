/**
 * What a person reads while recordings are measured and afterwards.
 */

import type { CommandRun, MeasureSummary, ProgressEvent } from '../commandLine/commandLine.ts';

/** '25 %, about 30 s left: finding claps in DECK_0012.wav'. */
export function progressText({ share, step, timeLeft }: ProgressEvent): string {
  return `${Math.floor(share * 100)} %${timeLeft === null ? '' : `, ${timeLeft}`}: ${step}`;
}

export interface Verdict {
  readonly severity: 'information' | 'warning' | 'error';
  readonly sentence: string;
}

/** `summary` is null when the command ended before it had one. */
export function measureVerdict({ exitCode, messages }: CommandRun, summary: MeasureSummary | null, reportName: string): Verdict {
  if (summary === null) {
    const reason = messages.at(-1) ?? `it ended without a word (exit code ${exitCode ?? 'none'})`;
    return { severity: 'error', sentence: `The recordings could not be measured: ${asSentence(reason)}` };
  }
  const what = summary.report === null ? `${reportName} was not written.` : `${pairsText(summary.pairs)} in ${reportName}.`;
  const [message, ...otherMessages] = messages;
  if (message !== undefined) {
    return { severity: 'error', sentence: `${what} ${asSentence(message)}${more(otherMessages.length)}` };
  }
  const serious = summary.leftOver.filter(({ severity }) => severity !== 'information');
  const [first] = serious;
  if (first !== undefined) {
    const sentence = `${what} Left over: ${first.name}. ${asSentence(first.reason)}${more(serious.length - 1)}`;
    return { severity: 'warning', sentence };
  }
  return { severity: 'information', sentence: `${what} Check the cut by eye and ear.` };
}

function pairsText(count: number): string {
  return count === 0 ? 'No pair' : count === 1 ? '1 pair' : `${count} pairs`;
}

function more(count: number): string {
  return count === 0 ? '' : ` And ${count} more; the output tells all.`;
}

function asSentence(text: string): string {
  return /[.!?]$/.test(text) ? text : `${text}.`;
}
