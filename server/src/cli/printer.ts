/**
 * Prints checked files as they come, in the format asked for, and counts what was found.
 */

import { addCounts, type CheckedFile, countFindings, type FindingCounts, NO_FINDINGS } from '../core/report/checkedFile.ts';
import { type JsonFile, jsonFile, renderJson } from '../core/report/renderJson.ts';
import { renderTextFile, renderTextTotals } from '../core/report/renderText.ts';
import type { OutputFormat } from './checkOptions.ts';
import { painterFor, type Terminal, widthOf } from './terminal.ts';

export interface Printer {
  /** `otherTexts`: files that findings may point into, by path. */
  readonly add: (file: CheckedFile, otherTexts: ReadonlyMap<string, string>) => void;
  /** Prints what stands at the end. */
  readonly finish: () => FindingCounts;
}

export function printerFor(format: OutputFormat, terminal: Terminal): Printer {
  switch (format) {
    case 'text':
      return textPrinter(terminal);
    case 'json':
      return jsonPrinter(terminal);
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
    finish: () => {
      if (fileCount > 1) output.write(`\n${renderTextTotals(fileCount, counts, painter)}`);
      return counts;
    },
  };
}

function jsonPrinter({ output }: Terminal): Printer {
  const members: JsonFile[] = [];
  let counts = NO_FINDINGS;
  return {
    add: (file) => {
      counts = addCounts(counts, countFindings(file));
      members.push(jsonFile(file));
    },
    finish: () => {
      output.write(renderJson(members));
      return counts;
    },
  };
}
