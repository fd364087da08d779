/**
 * ImageSequenceReference.1: the files of a sequence as one URL.
 *
 * The URL is that of the first image, built as the library's target_url_for_image_number does: base, a slash unless the
 * base ends with one, prefix, the frame number with leading zeros, suffix.
 */

import { kindOf, numberText, stringOf } from '../../syntax/json/jsonDocument.ts';
import { contentSpan, type Reading, reportUnreadable, shortened, valueNode } from './otioReading.ts';
import { describeKind, visibleSpan } from './otioValues.ts';
import { MEMBER, type MemberName } from './otioWords.ts';

const POLICIES: ReadonlySet<string> = new Set(['error', 'hold', 'black']);
const LARGEST_PADDING = 32;

/** The URL of the first image of the reference opened last; members that are missing or wrong are reported and replaced by the library's defaults. */
export function sequenceUrl(reading: Reading, schemaNode: number): string {
  const base = requireText(reading, schemaNode, 'target_url_base');
  const prefix = requireText(reading, schemaNode, 'name_prefix');
  const suffix = requireText(reading, schemaNode, 'name_suffix');
  const startFrame = requireWhole(reading, schemaNode, 'start_frame', '1');
  requireWhole(reading, schemaNode, 'frame_step', '1');
  const padding = Number(requireWhole(reading, schemaNode, 'frame_zero_padding', '0'));
  const policy = requireText(reading, schemaNode, 'missing_frame_policy');
  if (policy !== '' && !POLICIES.has(policy)) {
    reportUnreadable(
      reading,
      contentSpan(reading.document, valueNode(reading, MEMBER.missing_frame_policy)),
      `missing_frame_policy is "${shortened(policy)}": expected "error", "hold" or "black".`,
    );
  }
  if (valueNode(reading, MEMBER.rate) === -1) reportMissing(reading, schemaNode, 'rate');
  const isNegative = startFrame.startsWith('-');
  const digits = (isNegative ? startFrame.slice(1) : startFrame).padStart(Math.min(Math.max(0, padding), LARGEST_PADDING), '0');
  const slash = base === '' || base.endsWith('/') ? '' : '/';
  return `${base}${slash}${prefix}${isNegative ? '-' : ''}${digits}${suffix}`;
}

function requireText(reading: Reading, schemaNode: number, name: MemberName): string {
  const node = valueNode(reading, MEMBER[name]);
  if (node === -1) {
    reportMissing(reading, schemaNode, name);
    return '';
  }
  const kind = kindOf(reading.document, node);
  if (kind === 'string') return stringOf(reading.document, node);
  if (kind !== 'null')
    reportUnreadable(reading, visibleSpan(reading.document, node), `${name} is ${describeKind(kind)}: expected a text.`);
  return '';
}

function requireWhole(reading: Reading, schemaNode: number, name: MemberName, otherwise: string): string {
  const node = valueNode(reading, MEMBER[name]);
  if (node === -1) {
    reportMissing(reading, schemaNode, name);
    return otherwise;
  }
  const text = numberText(reading.document, node);
  if (/^-?\d{1,15}$/.test(text)) return text;
  reportUnreadable(
    reading,
    visibleSpan(reading.document, node),
    `${name} is ${text === '' ? describeKind(kindOf(reading.document, node)) : text}: expected a whole number.`,
  );
  return otherwise;
}

function reportMissing(reading: Reading, schemaNode: number, name: string): void {
  reportUnreadable(
    reading,
    contentSpan(reading.document, schemaNode),
    `This ImageSequenceReference has no ${name}, which every reader needs.`,
  );
}
