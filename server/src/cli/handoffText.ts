/**
 * What a hand-off came to, for the person at the terminal.
 */

import type { HandedFile, HandedKind } from '../core/handoff/manifest.ts';
import type { Painter } from '../core/report/painter.ts';
import { visibleText } from '../core/report/visibleText.ts';
import { wrapText } from '../core/report/wrapText.ts';
import type { Handoff, HandoffTask } from '../project/handoff/makeHandoff.ts';
import { megabytes } from './handoffOutput.ts';

const KINDS: Readonly<Record<HandedKind, readonly [one: string, many: string]>> = {
  'sync-sheet': ['sync sheet', 'sync sheets'],
  'sync-table': ['table', 'tables'],
  'pull-list': ['pull list', 'pull lists'],
  'sync-reel': ['sync reel', 'sync reels'],
};

export function handoffText(
  folder: string,
  { timelines }: HandoffTask,
  handoff: Handoff,
  width: number,
  painter: Painter,
): string {
  const lines: string[] = [];
  const wrapped = (text: string, indent: string): void => {
    for (const [index, line] of wrapText(visibleText(text), Math.max(40, width - indent.length)).entries()) {
      lines.push(`${index === 0 ? indent : ' '.repeat(indent.length)}${line}`);
    }
  };
  for (const { path, audit } of timelines) {
    const errors = audit.findings.filter(({ severity }) => severity === 'error').length;
    const open =
      errors === 0
        ? 'no error is open'
        : `${errors} ${errors === 1 ? 'error is' : 'errors are'} open, and stand${errors === 1 ? 's' : ''} on the sheet`;
    lines.push(
      `${painter.strong(visibleText(path))}: ${audit.comparisons.length} compared, ${audit.accepted.length} accepted; ${open}`,
    );
  }
  if (handoff.missing.length > 0) {
    lines.push('', painter.severity('warning', 'Missing'));
    for (const sentence of handoff.missing) wrapped(sentence, '  - ');
  }
  lines.push('', `Written to ${painter.strong(visibleText(folder))}: ${filesInWords(handoff.files)}, and the manifest.`);
  for (const { path, size } of handoff.files) lines.push(`  ${visibleText(path)}  ${painter.faint(megabytes(size))}`);
  lines.push('');
  wrapped(`Check by eye and ear. Whoever gets it can run: afterclap handoff --verify ${folder}`, '');
  return `${lines.join('\n')}\n`;
}

function filesInWords(files: readonly HandedFile[]): string {
  const kinds = Object.keys(KINDS) as HandedKind[];
  return kinds
    .map((kind) => ({ kind, count: files.filter((file) => file.kind === kind).length }))
    .filter(({ count }) => count > 0)
    .map(({ kind, count }) => `${count} ${KINDS[kind][count === 1 ? 0 : 1]}`)
    .join(', ');
}
