/**
 * `afterclap explain CODE`: the documentation of a finding code, from its rule.
 */

import { wrapText } from '../core/report/wrapText.ts';
import { ruleFor } from '../core/rules/allRules.ts';
import { FINDING_CODES, type FindingCode } from '../core/rules/finding.ts';
import type { Command } from './command.ts';
import { meant, type ParsedFlags } from './flags.ts';
import { painterFor, type Terminal, widthOf } from './terminal.ts';
import { UserError } from './userError.ts';

export const explainCommand: Command = {
  name: 'explain',
  usage: 'CODE',
  summary: 'what a finding code means, why it matters and what to do',
  flags: [],
  details: [`Codes: ${FINDING_CODES.join(', ')}.`],
  run: async (flags, terminal) => {
    const code = codeAskedFor(flags);
    terminal.output.write(explanation(code, terminal));
    return 0;
  },
};

function codeAskedFor({ paths }: ParsedFlags): FindingCode {
  const [written, ...others] = paths;
  if (written === undefined) throw new UserError(`explain needs a finding code: ${FINDING_CODES.join(', ')}`);
  if (others.length > 0) throw new UserError(`explain takes one code, got ${paths.length}`);
  const code = FINDING_CODES.find((candidate) => candidate === written.toLowerCase());
  if (code === undefined)
    throw new UserError(
      `there is no finding code '${written}'${meant(written, FINDING_CODES)}; 'afterclap explain --help' lists them`,
    );
  return code;
}

function explanation(code: FindingCode, { output, environment }: Terminal): string {
  const { documentation, defaultSeverity } = ruleFor(code);
  const painter = painterFor(output, environment);
  const width = Math.min(widthOf(output), 100);
  const sections: readonly (readonly [string, string])[] = [
    ['What', documentation.what],
    ['Why it matters', documentation.why],
    ['What to do', documentation.whatToDo],
  ];
  const lines = [
    `${painter.strong(code)}: ${documentation.title} (${defaultSeverity === 'off' ? 'off unless the settings switch it on' : defaultSeverity})`,
  ];
  for (const [title, text] of sections)
    lines.push('', painter.strong(title), ...wrapText(text, width - 2).map((line) => `  ${line}`));
  lines.push(
    '',
    painter.strong('Sources'),
    ...documentation.sources.flatMap((source) =>
      wrapText(source, width - 4).map((line, at) => `  ${at === 0 ? '-' : ' '} ${line}`),
    ),
  );
  return `${lines.join('\n')}\n`;
}
