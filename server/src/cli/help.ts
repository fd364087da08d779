/**
 * Help texts, built from what the commands say about themselves so that they cannot disagree with them.
 */

import { wrapText } from '../core/report/wrapText.ts';
import type { Command } from './command.ts';

const WIDTH = 96;

/** The help of the whole program. */
export function generalHelp(commands: readonly Command[], version: string): string {
  const longest = Math.max(...commands.map(({ name, usage }) => `${name} ${usage}`.length));
  return page([
    `afterclap ${version}: keeps separately recorded sound where the clap says it belongs`,
    '',
    ...paragraph(
      'Checks timelines (OTIO JSON, neutral XML, edit decision lists) against an alignment report, which says which sound belongs to which picture and where.',
    ),
    '',
    'Commands',
    ...commands.map(({ name, usage, summary }) => `  afterclap ${`${name} ${usage}`.padEnd(longest)}  ${summary}`),
    '',
    '  afterclap COMMAND --help  what a command takes',
    '  afterclap --version       the version of this program',
    '',
    'Exit code',
    '  0  nothing at or above --fail-on',
    '  1  findings',
    '  2  the program could not do its job; one line on standard error says why',
    '',
    ...paragraph('Keep the original of every file you fix, and check the cut by eye and ear. Delivery specifications decide.'),
  ]);
}

/** The help of one command. */
export function commandHelp({ name, usage, summary, flags, details }: Command): string {
  const longest = Math.max(0, ...flags.map((flag) => flagWords(flag).length));
  const lines = [`afterclap ${name} ${usage}`, '', ...paragraph(`${summary.charAt(0).toUpperCase()}${summary.slice(1)}.`)];
  if (flags.length > 0) lines.push('', 'Flags');
  for (const flag of flags) {
    const [first = '', ...rest] = wrapText(flag.text, WIDTH - longest - 4);
    lines.push(`  ${flagWords(flag).padEnd(longest)}  ${first}`, ...rest.map((line) => `${' '.repeat(longest + 4)}${line}`));
  }
  for (const detail of details) lines.push('', ...paragraph(detail));
  return page(lines);
}

function flagWords({ name, value }: Command['flags'][number]): string {
  return value === null ? `--${name}` : `--${name} ${value}`;
}

function paragraph(text: string): readonly string[] {
  return wrapText(text, WIDTH);
}

function page(lines: readonly string[]): string {
  return `${lines.join('\n')}\n`;
}
