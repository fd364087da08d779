/**
 * The iXML of a reel: what the recordist wrote about the take, with the picture's timecode in place of the recorder's.
 *
 * Project, scene, take, roll, notes and track names of the recording are kept, and so is every tag nobody here knows. What would be
 * wrong in a reel is written anew or left out: rates and stamp, marks (they are counted from the reel's own first sample now), the
 * file's identity and family, and loudness and bext figures of another file. Trees go through xml2js, as on reading.
 */

import { Builder } from 'xml2js';
import type { IxmlNode, SyncPoint } from '../wave/ixml.ts';
import type { ReelLayout } from './reel.ts';

export interface ReelIxml {
  /** Of the recording; null when it has none or the reel is made of several. */
  readonly source: IxmlNode | null;
  readonly layout: ReelLayout;
  /** Samples since midnight of the reel's first sample. */
  readonly timeReference: number;
  /** Frames per second as iXML writes them: `24000/1001`, `25/1`. */
  readonly frameRate: string;
  readonly isDropFrame: boolean;
  readonly fileUid: string;
  /** Name of the recording's file; null when there are several. */
  readonly parentFileName: string | null;
  /** In samples of the reel. */
  readonly syncPoints: readonly SyncPoint[];
  /** Added when the recording has no note of its own. */
  readonly note: string;
}

const NEVER_KEPT = ['IXML_VERSION', 'FILE_UID', 'SPEED', 'SYNC_POINT_LIST', 'HISTORY', 'FILE_SET', 'BEXT', 'LOUDNESS'];
/** All tags written here are of this version and older. */
const IXML_VERSION = '1.52';
const WORD = 2 ** 32;

/** The document, in UTF-8 letters. */
export function reelIxml(reel: ReelIxml): string {
  const kept = typeof reel.source === 'string' || reel.source === null ? {} : reel.source;
  const tree: Record<string, unknown> = { IXML_VERSION };
  for (const [tag, nodes] of Object.entries(kept)) if (!NEVER_KEPT.includes(tag)) tree[tag] = cleaned(nodes);
  if (tree['NOTE'] === undefined || isEmpty(tree['NOTE'])) tree['NOTE'] = legible(reel.note);
  tree['FILE_UID'] = legible(reel.fileUid);
  tree['SPEED'] = speed(reel, firstNode(kept['SPEED']));
  if (reel.syncPoints.length > 0) tree['SYNC_POINT_LIST'] = syncPoints(reel.syncPoints);
  const history = parentHistory(reel, firstNode(kept['HISTORY']), textOf(firstNode(kept['FILE_UID'])));
  if (history !== null) tree['HISTORY'] = history;
  const builder = new Builder({
    rootName: 'BWFXML',
    xmldec: { version: '1.0', encoding: 'UTF-8' },
    renderOpts: { pretty: true, indent: '  ', newline: '\n' },
  });
  return `${builder.buildObject(tree)}\n`;
}

/** A mark as a reel writes it: counted from its first sample. */
function syncPoints(points: readonly SyncPoint[]): object {
  return {
    SYNC_POINT_COUNT: String(points.length),
    SYNC_POINT: points.map((point) => ({
      SYNC_POINT_TYPE: 'RELATIVE',
      SYNC_POINT_FUNCTION: legible(point.function),
      SYNC_POINT_COMMENT: legible(point.comment),
      SYNC_POINT_LOW: String(point.sample % WORD),
      SYNC_POINT_HIGH: String(Math.floor(point.sample / WORD)),
      SYNC_POINT_EVENT_DURATION: '0',
    })),
  };
}

/** The converter's true clock is kept: where it differs from the file's rate the sound was pulled, and still is. */
function speed({ layout, timeReference, frameRate, isDropFrame }: ReelIxml, before: IxmlNode | null): object {
  const digitizer = before === null || typeof before === 'string' ? '' : textOf(firstNode(before['DIGITIZER_SAMPLE_RATE']));
  return {
    MASTER_SPEED: frameRate,
    CURRENT_SPEED: frameRate,
    TIMECODE_RATE: frameRate,
    TIMECODE_FLAG: isDropFrame ? 'DF' : 'NDF',
    FILE_SAMPLE_RATE: String(layout.sampleRate),
    AUDIO_BIT_DEPTH: String(layout.format.validBits),
    DIGITIZER_SAMPLE_RATE: digitizer === '' ? String(layout.sampleRate) : legible(digitizer),
    TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_HI: String(Math.floor(timeReference / WORD)),
    TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_LO: String(timeReference % WORD),
    TIMESTAMP_SAMPLE_RATE: String(layout.sampleRate),
  };
}

function parentHistory({ parentFileName }: ReelIxml, before: IxmlNode | null, parentUid: string): object | null {
  if (parentFileName === null) return null;
  const original = before === null || typeof before === 'string' ? '' : textOf(firstNode(before['ORIGINAL_FILENAME']));
  return {
    ORIGINAL_FILENAME: legible(original === '' ? parentFileName : original),
    PARENT_FILENAME: legible(parentFileName),
    PARENT_UID: legible(parentUid),
  };
}

function firstNode(nodes: readonly IxmlNode[] | undefined): IxmlNode | null {
  return nodes?.[0] ?? null;
}

function textOf(node: IxmlNode | null): string {
  return typeof node === 'string' ? node.trim() : '';
}

function isEmpty(value: unknown): boolean {
  return Array.isArray(value) && value.every((node) => typeof node === 'string' && node.trim() === '');
}

function cleaned(nodes: readonly IxmlNode[]): readonly unknown[] {
  return nodes.map((node) =>
    typeof node === 'string'
      ? legible(node)
      : Object.fromEntries(Object.entries(node).map(([tag, children]) => [tag, cleaned(children)])),
  );
}

/** Without the characters that XML 1.0 can't hold (its production 2). */
function legible(text: string): string {
  return text.replace(/[^\t\n\r\x20-\ud7ff\ue000-\ufffd\u{10000}-\u{10ffff}]/gu, '\ufffd');
}
