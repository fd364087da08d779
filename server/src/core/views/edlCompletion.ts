/**
 * What can be written at a place of an edit decision list: what the reader knows, and nothing it would not read.
 *
 * Only the line up to the caret decides, so a broken list completes as well as a sound one.
 */

import { FINDING_CODES } from '../rules/finding.ts';
import type { Choice, Completion } from './completion.ts';

const LINE_STARTS: readonly Choice[] = [
  { text: 'TITLE: ', detail: 'name of the list' },
  { text: 'FCM: ', detail: 'how timecode counts from here on' },
  { text: '* ', detail: 'comment' },
  { text: 'M2   ', detail: 'speed of the event above' },
];

const COMMENTS: readonly Choice[] = [
  { text: 'FROM CLIP NAME: ', detail: 'name of the clip' },
  { text: 'TO CLIP NAME: ', detail: 'name of the clip that a transition leads to' },
  { text: 'SOURCE FILE: ', detail: 'file of the clip' },
  { text: 'AFTERCLAP ACCEPT ', detail: 'accept a finding here, with a reason' },
];

const COUNTING: readonly Choice[] = [
  { text: 'NON-DROP FRAME', detail: 'every label is used' },
  { text: 'DROP FRAME', detail: 'labels are skipped, at 29.97 and 59.94' },
];

const CHANNELS: readonly Choice[] = [
  { text: 'V', detail: 'picture' },
  { text: 'A', detail: 'first sound channel' },
  { text: 'A2', detail: 'second sound channel' },
  { text: 'AA', detail: 'first and second sound channel' },
  { text: 'B', detail: 'picture and first sound channel' },
  { text: 'AA/V', detail: 'picture and both sound channels' },
  { text: 'A2/V', detail: 'picture and second sound channel' },
  { text: 'NONE', detail: 'channels follow on an AUD line' },
];

const EDIT_TYPES: readonly Choice[] = [
  { text: 'C', detail: 'cut' },
  { text: 'D', detail: 'dissolve; its length in frames follows' },
  { text: 'W001', detail: 'wipe by number; its length in frames follows' },
  { text: 'K', detail: 'key' },
  { text: 'KB', detail: 'key, background' },
];

/** `names`: media the report knows. Null where nothing of ours belongs. */
export function edlCompletionAt(text: string, offset: number, names: readonly Choice[]): Completion | null {
  const start = Math.max(text.lastIndexOf('\n', offset - 1), text.lastIndexOf('\r', offset - 1)) + 1;
  const line = text.slice(start, offset);
  const replacing = (typed: string, choices: readonly Choice[]): Completion => ({
    span: { start: offset - typed.length, end: offset },
    choices,
  });
  const comment = /^\s*\*\s*(.*)$/.exec(line)?.[1];
  if (comment !== undefined) {
    const file = /^(?:FROM CLIP NAME|TO CLIP NAME|SOURCE FILE|FROM FILE|TO FILE):\s*(.*)$/i.exec(comment)?.[1];
    if (file !== undefined) return replacing(file, names);
    const code = /^AFTERCLAP ACCEPT\s+(\S*)$/i.exec(comment)?.[1];
    if (code !== undefined) {
      return replacing(
        code,
        FINDING_CODES.map((known) => ({ text: `${known}: `, detail: 'finding code; a reason follows' })),
      );
    }
    return comment.includes(':') ? null : replacing(comment, COMMENTS);
  }
  const counting = /^FCM:\s*(.*)$/i.exec(line)?.[1];
  if (counting !== undefined) return replacing(counting, COUNTING);
  if (/^\s*[A-Za-z]*$/.test(line)) return replacing(line.trimStart(), LINE_STARTS);
  const event = /^\s*\d+[ \t]+(?:(\S*)|\S+[ \t]+(?:(\S*)|\S+[ \t]+(\S*)))$/.exec(line);
  if (event === null) return null;
  const [, reel, channel, type] = event;
  if (type !== undefined) return replacing(type, EDIT_TYPES);
  if (channel !== undefined) return replacing(channel, CHANNELS);
  return replacing(
    reel ?? '',
    names.filter(({ text: name }) => !/\s/.test(name)),
  );
}
