/**
 * The iXML chunk: what a production recorder says about scene, take, time stamp and marks.
 *
 * iXML is an open specification in which every tag is optional and no schema exists, so nothing here is assumed. Trees go
 * through xml2js. Copies of `fmt ` and `bext` values inside iXML never win over the official chunks; a difference is said.
 */

import { Parser } from 'xml2js';
import type { SoundProblem } from '../soundProblem.ts';

/** The tree as xml2js gives it: text, or a node with children in arrays. */
export type IxmlNode = string | { readonly [tag: string]: readonly IxmlNode[] };

export interface SyncPoint {
  /** SLATE_GENERIC and HEAD_SLATE mark a clap; PRE_RECORD_SAMPLECOUNT the samples kept from before the start. */
  readonly function: string;
  /** True: samples since midnight. False: samples from the start of the file. */
  readonly isAbsolute: boolean;
  readonly sample: number;
  readonly comment: string;
}

export interface Ixml {
  /** The XML as it stands in the file. */
  readonly text: string;
  /** Null when the XML is malformed; a problem says so. */
  readonly tree: IxmlNode | null;
  readonly project: string | null;
  readonly scene: string | null;
  readonly take: string | null;
  readonly tape: string | null;
  /** As written, for instance `24000/1001`. */
  readonly timecodeRate: string | null;
  /** NDF where the file does not say (the specification's default). */
  readonly isDropFrame: boolean;
  readonly fileSampleRate: number | null;
  /** The converter's true clock; where it differs from the file's rate, the sound was pulled. */
  readonly digitizerSampleRate: number | null;
  /** Copy of the bext stamp, samples since midnight. */
  readonly timestamp: number | null;
  readonly trackNames: readonly string[];
  readonly syncPoints: readonly SyncPoint[];
}

/** Reads an `iXML` chunk. */
export function readIxml(chunk: Uint8Array, problems: SoundProblem[]): Ixml {
  const text = decodeText(chunk);
  const tree = parseTree(text, problems);
  const at = (path: string): string | null => textAt(tree, path);
  return {
    text,
    tree,
    project: at('PROJECT'),
    scene: at('SCENE'),
    take: at('TAKE'),
    tape: at('TAPE'),
    timecodeRate: at('SPEED/TIMECODE_RATE'),
    isDropFrame: at('SPEED/TIMECODE_FLAG') === 'DF',
    fileSampleRate: numberFrom(at('SPEED/FILE_SAMPLE_RATE')),
    digitizerSampleRate: numberFrom(at('SPEED/DIGITIZER_SAMPLE_RATE')),
    timestamp: joinWords(at('SPEED/TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_HI'), at('SPEED/TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_LO')),
    trackNames: nodesAt(tree, 'TRACK_LIST/TRACK').map((track) => textAt(track, 'NAME') ?? ''),
    syncPoints: nodesAt(tree, 'SYNC_POINT_LIST/SYNC_POINT').flatMap(readSyncPoint),
  };
}

/** Children at a path such as `SPEED/TIMECODE_RATE`, for tags this file does not name. */
function nodesAt(tree: IxmlNode | null, path: string): readonly IxmlNode[] {
  let nodes: readonly IxmlNode[] = tree === null ? [] : [tree];
  for (const tag of path.split('/')) {
    nodes = nodes.flatMap((node) => (typeof node === 'string' ? [] : (node[tag] ?? [])));
  }
  return nodes;
}

/** Text of the first node at a path; null when there is none or it is empty. */
export function textAt(tree: IxmlNode | null, path: string): string | null {
  const first = nodesAt(tree, path)[0];
  if (typeof first !== 'string') return null;
  const trimmed = first.trim();
  return trimmed === '' ? null : trimmed;
}

function readSyncPoint(node: IxmlNode): SyncPoint[] {
  const sample = joinWords(textAt(node, 'SYNC_POINT_HIGH') ?? '0', textAt(node, 'SYNC_POINT_LOW'));
  if (sample === null) return [];
  return [
    {
      function: textAt(node, 'SYNC_POINT_FUNCTION') ?? '',
      isAbsolute: textAt(node, 'SYNC_POINT_TYPE') === 'ABSOLUTE',
      sample,
      comment: textAt(node, 'SYNC_POINT_COMMENT') ?? '',
    },
  ];
}

function parseTree(text: string, problems: SoundProblem[]): IxmlNode | null {
  // A document type has no place in iXML, and refusing it keeps entity tricks out.
  if (/<!DOCTYPE/i.test(text)) {
    problems.push({
      severity: 'warning',
      message: 'The iXML chunk holds a DOCTYPE, which iXML does not know; its tags were not read.',
    });
    return null;
  }
  let tree: IxmlNode | null = null;
  let failure: Error | null = null;
  const parser = new Parser({ explicitRoot: false, explicitArray: true, ignoreAttrs: true, emptyTag: '' });
  try {
    parser.parseString(text, (error: Error | null, result: unknown) => {
      failure ??= error;
      if (error === null) tree = (result ?? null) as IxmlNode | null;
    });
  } catch (error) {
    failure = error as Error;
  }
  if (failure !== null || tree === null) {
    const reason = ((failure as Error | null)?.message ?? 'no root element').replace(/\s+/g, ' ');
    problems.push({ severity: 'warning', message: `The iXML chunk is not well-formed XML (${reason}); its tags were not read.` });
    return null;
  }
  return tree;
}

function numberFrom(text: string | null): number | null {
  if (text === null) return null;
  const value = Number(text);
  return Number.isFinite(value) && value >= 0 ? value : null;
}

function joinWords(high: string | null, low: string | null): number | null {
  const lowWord = numberFrom(low);
  if (lowWord === null) return null;
  const joined = (numberFrom(high) ?? 0) * 2 ** 32 + lowWord;
  return Number.isSafeInteger(joined) ? joined : null;
}

/** Unicode or one byte per letter, both are allowed; trailing zero bytes are padding that recorders leave. */
function decodeText(chunk: Uint8Array): string {
  let end = chunk.length;
  while (end > 0 && chunk[end - 1] === 0) end -= 1;
  const bytes = chunk.subarray(0, end);
  if (bytes[0] === 0xff && bytes[1] === 0xfe) return decodeUtf16(chunk, true);
  if (bytes[0] === 0xfe && bytes[1] === 0xff) return decodeUtf16(chunk, false);
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch {
    let text = '';
    for (const byte of bytes) text += String.fromCharCode(byte);
    return text;
  }
}

function decodeUtf16(bytes: Uint8Array, isLittleEndian: boolean): string {
  let text = '';
  for (let index = 2; index + 1 < bytes.length; index += 2) {
    const first = bytes[index] as number;
    const second = bytes[index + 1] as number;
    const code = isLittleEndian ? first | (second << 8) : (first << 8) | second;
    if (code === 0) break;
    text += String.fromCharCode(code);
  }
  return text;
}
