/**
 * ImageSequenceReference.1: the files of a sequence as one URL.
 *
 * The URL is that of the first image, built as the library's target_url_for_image_number does: base, a slash unless the
 * base ends with one, prefix, the frame number with leading zeros, suffix.
 */

import { kindOf, numberText, stringOf } from '../../syntax/json/jsonDocument.ts';
import { contentSpan, type Reading, reportUnreadable } from './otioReading.ts';
import { describeKind, visibleSpan } from './otioTimes.ts';

/** Value nodes of the members; -1 where there is none. */
export interface SequenceNodes {
  readonly base: number;
  readonly prefix: number;
  readonly suffix: number;
  readonly startFrame: number;
  readonly step: number;
  readonly padding: number;
  readonly policy: number;
  readonly rate: number;
}

const POLICIES: ReadonlySet<string> = new Set(['error', 'hold', 'black']);
const LARGEST_PADDING = 32;

/** The URL of the first image; members that are missing or wrong are reported and replaced by the library's defaults. */
export function sequenceUrl(reading: Reading, schemaNode: number, nodes: SequenceNodes): string {
  const base = requireText(reading, schemaNode, nodes.base, 'target_url_base');
  const prefix = requireText(reading, schemaNode, nodes.prefix, 'name_prefix');
  const suffix = requireText(reading, schemaNode, nodes.suffix, 'name_suffix');
  const startFrame = requireWhole(reading, schemaNode, nodes.startFrame, 'start_frame', '1');
  requireWhole(reading, schemaNode, nodes.step, 'frame_step', '1');
  const padding = Number(requireWhole(reading, schemaNode, nodes.padding, 'frame_zero_padding', '0'));
  const policy = requireText(reading, schemaNode, nodes.policy, 'missing_frame_policy');
  if (policy !== '' && !POLICIES.has(policy)) {
    reportUnreadable(
      reading,
      contentSpan(reading.document, nodes.policy),
      `missing_frame_policy is "${policy}": expected "error", "hold" or "black".`,
    );
  }
  if (nodes.rate === -1) reportMissing(reading, schemaNode, 'rate');
  const isNegative = startFrame.startsWith('-');
  const digits = (isNegative ? startFrame.slice(1) : startFrame).padStart(Math.min(Math.max(0, padding), LARGEST_PADDING), '0');
  const slash = base === '' || base.endsWith('/') ? '' : '/';
  return `${base}${slash}${prefix}${isNegative ? '-' : ''}${digits}${suffix}`;
}

function requireText(reading: Reading, schemaNode: number, node: number, name: string): string {
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

function requireWhole(reading: Reading, schemaNode: number, node: number, name: string, otherwise: string): string {
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
