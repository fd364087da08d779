/**
 * Prints checked files as they come, in the format asked for, and counts what was found.
 */

import {
  addCounts,
  type CheckedFile,
  countFindings,
  type FindingCounts,
  NO_FINDINGS,
  type ShownSeverity,
} from '../core/report/checkedFile.ts';
import { placeNames } from '../core/report/placeNames.ts';
import { renderGithubFile, renderGithubTotals } from '../core/report/renderGithub.ts';
import { gitlabFile, renderGitlab } from '../core/report/renderGitlab.ts';
import { type JsonFile, jsonFile, renderJson } from '../core/report/renderJson.ts';
import { type JunitFile, junitFile, renderJunit } from '../core/report/renderJunit.ts';
import { renderLinesFile, renderLinesTotals } from '../core/report/renderLines.ts';
import { renderSarif, type SarifFile, sarifFile } from '../core/report/renderSarif.ts';
import { type BaselineSummary, renderTextBaseline, renderTextFile, renderTextTotals } from '../core/report/renderText.ts';
import type { OutputFormat } from './checkOptions.ts';
import { painterFor, type Terminal, widthOf } from './terminal.ts';

export interface Printer {
  /** `otherTexts`: files that findings may point into, by path. */
  readonly add: (file: CheckedFile, otherTexts: ReadonlyMap<string, string>) => void;
  /** Prints what stands at the end. */
  readonly finish: (end: RunEnd) => FindingCounts;
}

/** What is known when all files are checked. */
interface RunEnd {
  /** What kept the program from doing its job, a sentence each. */
  readonly problems: readonly string[];
  /** Null without a baseline. */
  readonly baseline: BaselineSummary | null;
}

/** What the formats want to know of the run. */
export interface RunFacts {
  readonly version: string;
  /** Folder of the pages of finding codes, as a URI; null when they are not at hand. */
  readonly documentationUri: string | null;
  readonly failOn: ShownSeverity;
  readonly startedAt: Date;
}

export function printerFor(format: OutputFormat, terminal: Terminal, facts: RunFacts): Printer {
  switch (format) {
    case 'text':
      return textPrinter(terminal);
    case 'lines':
      return linewisePrinter(terminal, renderLinesFile, renderLinesTotals);
    case 'json':
      return jsonPrinter(terminal);
    case 'sarif':
      return sarifPrinter(terminal, facts);
    case 'github':
      return linewisePrinter(terminal, renderGithubFile, renderGithubTotals);
    case 'gitlab':
      return gitlabPrinter(terminal);
    case 'junit':
      return junitPrinter(terminal, facts);
  }
}

function textPrinter({ output, environment }: Terminal): Printer {
  const painter = painterFor(output, environment);
  let fileCount = 0;
  let counts = NO_FINDINGS;
  return {
    add: (file, otherTexts) => {
      if (fileCount > 0) output.write('\n');
      fileCount += 1;
      counts = addCounts(counts, countFindings(file));
      output.write(renderTextFile(file, { width: widthOf(output), painter, otherTexts }));
    },
    finish: ({ baseline }) => {
      if (fileCount > 1) output.write(`\n${renderTextTotals(fileCount, counts, painter)}`);
      if (baseline !== null) output.write(`\n${renderTextBaseline(baseline, painter)}`);
      return counts;
    },
  };
}

function jsonPrinter({ output }: Terminal): Printer {
  const { add, members, counts } = collector<JsonFile>(jsonFile);
  return {
    add,
    finish: ({ baseline }) => {
      output.write(renderJson(members, baseline));
      return counts();
    },
  };
}

function sarifPrinter({ output }: Terminal, { version, documentationUri }: RunFacts): Printer {
  const { add, members, counts } = collector<SarifFile>((file, others) => sarifFile(file, placeNames(others)));
  return {
    add,
    finish: ({ problems, baseline }) => {
      output.write(renderSarif(members, { version, documentationUri, problems, baseline: baseline?.path ?? null }));
      return counts();
    },
  };
}

function linewisePrinter(
  { output }: Terminal,
  renderFile: (file: CheckedFile) => string,
  renderTotals: (fileCount: number, counts: FindingCounts) => string,
): Printer {
  let fileCount = 0;
  let counts = NO_FINDINGS;
  return {
    add: (file) => {
      fileCount += 1;
      counts = addCounts(counts, countFindings(file));
      output.write(renderFile(file));
    },
    finish: () => {
      output.write(renderTotals(fileCount, counts));
      return counts;
    },
  };
}

function gitlabPrinter({ output }: Terminal): Printer {
  const { add, members, counts } = collector<readonly object[]>(gitlabFile);
  return {
    add,
    finish: () => {
      output.write(renderGitlab(members.flat()));
      return counts();
    },
  };
}

function junitPrinter({ output }: Terminal, { failOn, startedAt }: RunFacts): Printer {
  const { add, members, counts } = collector<JunitFile>(junitFile);
  return {
    add,
    finish: ({ problems }) => {
      // Ant's schema has no room for parts of a second or a zone.
      const time = startedAt.toISOString().slice(0, 'yyyy-mm-ddThh:mm:ss'.length);
      output.write(renderJunit(members, { failOn, startedAt: time, problems }));
      return counts();
    },
  };
}

/** Keeps what a document needs of each file, so that the files themselves can go. */
function collector<Member>(memberOf: (file: CheckedFile, others: ReadonlyMap<string, string>) => Member): {
  readonly add: Printer['add'];
  readonly members: readonly Member[];
  readonly counts: () => FindingCounts;
} {
  const members: Member[] = [];
  let counts = NO_FINDINGS;
  return {
    add: (file, others) => {
      counts = addCounts(counts, countFindings(file));
      members.push(memberOf(file, others));
    },
    members,
    counts: () => counts,
  };
}
