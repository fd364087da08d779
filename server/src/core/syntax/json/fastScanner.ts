/**
 * The fast scanner: texts without any irregularity, four to five times faster than the tolerant one.
 *
 * It runs in WebAssembly (source in .build/wasm/tapeScanner.ts) because only there can sixteen characters be looked at at
 * once. It writes the tape into its own memory, and the next text overwrites it, so a document from here is lent, never
 * given: see `withJson`. Where WebAssembly is missing, or lacks SIMD, or memory runs out, the answer is null and the tolerant
 * scanner does the same work.
 *
 * The one scanner is kept between texts, since fresh memory costs more than scanning it; a very large one is let go.
 */

import type { JsonDocument } from './jsonDocument.ts';
import { STRIDE } from './jsonTape.ts';
import { TAPE_SCANNER_BASE64 } from './tapeScannerWasm.ts';
import type { Vocabulary } from './vocabulary.ts';

interface ScannerMemory {
  readonly buffer: ArrayBuffer;
  grow(pages: number): number;
}

interface ScannerExports {
  readonly memory: ScannerMemory;
  compact(start: number, byteCount: number): number;
  scan(units: number, length: number, tape: number, longest: number): number;
}

/** The parts of the platform that are needed; the same in Node and in browsers. */
declare const WebAssembly:
  | {
      readonly Module: new (binary: Uint8Array) => object;
      readonly Instance: new (module: object, imports: object) => { readonly exports: unknown };
    }
  | undefined;
declare const TextEncoder: new () => {
  encodeInto(source: string, destination: Uint8Array): { readonly read: number; readonly written: number };
};
declare const atob: (base64: string) => string;

export interface FastScanner {
  readonly exports: ScannerExports;
  vocabulary: Vocabulary | null;
}

/** Where the host puts things in the scanner's memory; the same numbers stand in tapeScanner.ts. */
const SLOTS = 1024;
const FOLLOWING = 9216;
const WORDS = 10240;
const WORD_SIZE = 32;
const UNITS = 32768;
/** Zeros after the text, into which loads of sixteen bytes may run. */
const PADDING = 64;
const PAGE = 65536;

/** Larger memories are not kept for the next text. */
const LARGEST_KEPT = 256 * 1024 * 1024;

let compiled: object | null | undefined;
let idle: FastScanner | null = null;

/** A scanner for one text; null where there can be none. Give it back with `returnScanner`. */
export function takeScanner(): FastScanner | null {
  if (idle !== null) {
    const scanner = idle;
    idle = null;
    return scanner;
  }
  compiled ??= compile();
  if (compiled === null || typeof WebAssembly === 'undefined') return null;
  const { exports } = new WebAssembly.Instance(compiled, { env: { abort: () => {} } });
  return { exports: exports as ScannerExports, vocabulary: null };
}

export function returnScanner(scanner: FastScanner): void {
  if (scanner.exports.memory.buffer.byteLength <= LARGEST_KEPT) idle = scanner;
}

/** The document of a regular text, good until the scanner is used again; null when the tolerant scanner must look at it. */
export function scanFast(scanner: FastScanner, text: string, vocabulary: Vocabulary): JsonDocument | null {
  if (vocabulary.longest > WORD_SIZE || text.length === 0) return null;
  try {
    const { exports } = scanner;
    if (!writeUnits(exports, text)) return null;
    if (scanner.vocabulary !== vocabulary) writeVocabulary(exports, vocabulary);
    scanner.vocabulary = vocabulary;
    const tapeStart = (UNITS + text.length + PADDING + 15) & ~15;
    ensure(exports, tapeStart + (text.length >>> 1) + PAGE);
    const nodeCount = exports.scan(UNITS, text.length, tapeStart, vocabulary.longest);
    if (nodeCount < 1) return null;
    const { buffer } = exports.memory;
    return {
      text,
      units: new Uint8Array(buffer, UNITS, text.length + 1),
      problems: [],
      nodeCount,
      tape: new Int32Array(buffer, tapeStart, nodeCount * STRIDE),
    };
  } catch {
    // No more memory to be had: the tolerant scanner needs less at a time.
    return null;
  }
}

/** Puts the text's units and the padding into memory; false when they came out uneven, which would be an error of this file. */
function writeUnits(exports: ScannerExports, text: string): boolean {
  const { length } = text;
  const encoder = new TextEncoder();
  ensure(exports, UNITS + length + PADDING + PAGE);
  let { read, written } = encoder.encodeInto(text, new Uint8Array(exports.memory.buffer, UNITS, length));
  if (read < length || written !== length) {
    // Not ASCII: at most three bytes a unit.
    ensure(exports, UNITS + 3 * length + PADDING + PAGE);
    ({ read, written } = encoder.encodeInto(text, new Uint8Array(exports.memory.buffer, UNITS, 3 * length)));
    if (exports.compact(UNITS, written) !== length) return false;
  }
  new Uint8Array(exports.memory.buffer, UNITS + length, PADDING).fill(0);
  return true;
}

function writeVocabulary(exports: ScannerExports, vocabulary: Vocabulary): void {
  const memory = new Uint8Array(exports.memory.buffer, 0, UNITS);
  memory.fill(0, SLOTS, UNITS);
  memory.set(vocabulary.slots, SLOTS);
  memory.set(vocabulary.following, FOLLOWING);
  for (const [index, word] of vocabulary.words.entries()) {
    const start = WORDS + (index + 1) * WORD_SIZE;
    for (let offset = 0; offset < word.length; offset += 1) memory[start + offset] = word.charCodeAt(offset);
  }
}

function ensure(exports: ScannerExports, size: number): void {
  const missing = size - exports.memory.buffer.byteLength;
  if (missing > 0) exports.memory.grow(Math.ceil(missing / PAGE));
}

function compile(): object | null {
  if (typeof WebAssembly === 'undefined') return null;
  try {
    return new WebAssembly.Module(Uint8Array.from(atob(TAPE_SCANNER_BASE64), (character) => character.charCodeAt(0)));
  } catch {
    return null;
  }
}
