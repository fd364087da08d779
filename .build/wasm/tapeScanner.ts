/**
 * The fast scanner of JSON, in AssemblyScript: text without any irregularity to the tape of jsonTape.ts.
 *
 * It reads what JSON allows, and bare NaN and Infinity, and gives up (-1) on anything else: wrong syntax, repeated names,
 * names with escapes, numbers on whose value readers disagree. The tolerant scanner then reads the text and says what is
 * wrong; a property test holds the two to the same tape. So nothing here needs to explain, and everything may assume.
 *
 * Memory, in bytes: the vocabulary below 32768 as the host writes it (see fastScanner.ts), then the text as one byte per
 * UTF-16 unit followed by 64 zeros, then the tape, which grows. Loads of 16 bytes may run over the end of the text into
 * the zeros, never further.
 *
 * While a container is open, its 'end' holds its parent and its 'next' its last child so far: no stack is needed.
 */

/** First candidate for a length and a first character. */
const SLOTS: usize = 1024;
/** Next candidate with the same length and first character. */
const FOLLOWING: usize = 9216;
/** Each word's characters, 32 bytes a word. */
const WORDS: usize = 10240;
/** Words seen in the object being closed: 256 bits. */
const SEEN: usize = 512;
/** Names outside the vocabulary of the object being closed. */
const UNKNOWN: usize = 18688;
const LARGEST_UNKNOWN_COUNT: i32 = 256;
const _LONGEST_WORD: i32 = 32;

const OBJECT: i32 = 1;
const ARRAY: i32 = 2;
const STRING: i32 = 3;
const INTRICATE_STRING: i32 = 4;
const NUMBER: i32 = 5;
const TRUE: i32 = 6;
const FALSE: i32 = 7;
const NULL: i32 = 8;
const NONFINITE: i32 = 9;

const VALUE: i32 = 0;
const ELEMENT_OR_END: i32 = 1;
const NAME: i32 = 2;
const NAME_OR_END: i32 = 3;
const SEPARATOR: i32 = 4;

const IRREGULAR: i32 = -1;

/** UTF-8 at `start` to one byte per UTF-16 unit, in place; answers how many units there are. */
export function compact(start: usize, byteCount: i32): i32 {
  let from = start;
  let to = start;
  const end = start + <usize>byteCount;
  while (from < end) {
    const block = v128.load(from);
    if (from + 16 <= end && i8x16.bitmask(block) === 0) {
      // `to` is never ahead of `from`, so what is overwritten has been loaded.
      v128.store(to, block);
      from += 16;
      to += 16;
      continue;
    }
    const byte = load<u8>(from);
    if (byte < 0x80) {
      store<u8>(to, byte);
      from += 1;
      to += 1;
    } else if (byte < 0xe0) {
      store<u8>(to, 0x80);
      from += 2;
      to += 1;
    } else if (byte < 0xf0) {
      store<u8>(to, 0x80);
      from += 3;
      to += 1;
    } else {
      store<u16>(to, 0x8080);
      from += 4;
      to += 2;
    }
  }
  return <i32>(to - start);
}

/** The number of nodes written at `tape`, or IRREGULAR. `longest` is the longest word of the vocabulary. */
export function scan(units: usize, length: i32, tape: usize, longest: i32): i32 {
  const end = units + <usize>length;
  const blank = i8x16.splat(32);
  const quote = i8x16.splat(34);
  const backslash = i8x16.splat(92);

  let at = units;
  let node = tape;
  let count = 0;
  let container = -1;
  let isObject = false;
  let last = 0;
  let depth = 0;
  let state = VALUE;
  let limit = ((<usize>memory.size()) << 16) - 64;

  while (true) {
    let code = load<u8>(at);
    if (code <= 32) {
      if (code === 10) {
        // A line break is mostly followed by indentation.
        at += 1;
        while (true) {
          const others = i8x16.bitmask(i8x16.ne(v128.load(at), blank));
          if (others !== 0) {
            at += <usize>ctz(others);
            break;
          }
          at += 16;
        }
        code = load<u8>(at);
      }
      while (code === 32 || code === 10 || code === 13 || code === 9) {
        at += 1;
        code = load<u8>(at);
      }
    }
    if (code === 0) return at === end && state === SEPARATOR && depth === 0 ? count : IRREGULAR;
    if (node >= limit) {
      const pages = memory.size();
      if (memory.grow(16 + (pages >> 2)) === -1) return IRREGULAR;
      limit = ((<usize>memory.size()) << 16) - 64;
    }

    if (state === SEPARATOR && code === 44) {
      if (depth === 0) return IRREGULAR;
      at += 1;
      state = isObject ? NAME : VALUE;
      continue;
    }
    if (code === 125 || code === 93) {
      if (depth === 0 || (code === 125) !== isObject || state === VALUE || state === NAME) return IRREGULAR;
      at += 1;
      if (isObject && last !== 0 && hasRepeatedName(units, tape, container + 1)) return IRREGULAR;
      const closed = tape + ((<usize>container) << 4);
      container = load<i32>(closed, 4);
      store<i32>(closed, <i32>(at - units), 4);
      store<i32>(closed, 0, 8);
      depth -= 1;
      if (depth > 0) {
        const parent = tape + ((<usize>container) << 4);
        isObject = load<u8>(parent, 12) === OBJECT;
        last = load<i32>(parent, 8);
      }
      state = SEPARATOR;
      continue;
    }
    if (state === SEPARATOR) return IRREGULAR;

    const start = at;
    if (state >= NAME) {
      if (code !== 34) return IRREGULAR;
      at += 1;
      while (true) {
        const block = v128.load(at);
        const stops = i8x16.bitmask(
          v128.or(v128.or(i8x16.eq(block, quote), i8x16.eq(block, backslash)), i8x16.lt_u(block, blank)),
        );
        if (stops !== 0) {
          at += <usize>ctz(stops);
          break;
        }
        at += 16;
      }
      if (load<u8>(at) !== 34) return IRREGULAR;
      at += 1;
      if (last !== 0) store<i32>(tape + ((<usize>last) << 4), count, 8);
      last = count;
      store<i32>(node, <i32>(start - units));
      store<i32>(node, <i32>(at - units), 4);
      store<i32>(node, 0, 8);
      store<i32>(node, STRING | (wordAt(start + 1, <i32>(at - start) - 2, longest) << 8), 12);
      node += 16;
      count += 1;
      code = load<u8>(at);
      while (code === 32 || code === 10 || code === 13 || code === 9) {
        at += 1;
        code = load<u8>(at);
      }
      if (code !== 58) return IRREGULAR;
      at += 1;
      if (load<u8>(at) === 32) at += 1;
      state = VALUE;
      continue;
    }

    if (!isObject && depth > 0) {
      if (last !== 0) store<i32>(tape + ((<usize>last) << 4), count, 8);
      last = count;
    }
    store<i32>(node, <i32>(start - units));
    store<i32>(node, 0, 8);
    if (code === 123 || code === 91) {
      if (depth > 0) store<i32>(tape + ((<usize>container) << 4), last, 8);
      store<i32>(node, container, 4);
      depth += 1;
      container = count;
      last = 0;
      isObject = code === 123;
      store<i32>(node, isObject ? OBJECT : ARRAY, 12);
      node += 16;
      count += 1;
      at += 1;
      state = isObject ? NAME_OR_END : ELEMENT_OR_END;
      continue;
    }
    state = SEPARATOR;
    let kind = STRING;
    if (code === 34) {
      at += 1;
      while (true) {
        const block = v128.load(at);
        const stops = i8x16.bitmask(
          v128.or(v128.or(i8x16.eq(block, quote), i8x16.eq(block, backslash)), i8x16.lt_u(block, blank)),
        );
        if (stops === 0) {
          at += 16;
          continue;
        }
        at += <usize>ctz(stops);
        code = load<u8>(at);
        if (code === 34) break;
        if (code !== 92) return IRREGULAR;
        kind = INTRICATE_STRING;
        const size = escapeLength(at);
        if (size === 0) return IRREGULAR;
        at += <usize>size;
      }
      at += 1;
      if (kind === STRING) kind |= wordAt(start + 1, <i32>(at - start) - 2, longest) << 8;
    } else if (code === 45 || (code >= 48 && code <= 57)) {
      if (code === 45 && load<u8>(at, 1) === 73) {
        const size = infinityLength(at + 1);
        if (size === 0) return IRREGULAR;
        at += 1 + <usize>size;
        kind = NONFINITE;
      } else {
        const size = numberLength(at);
        if (size === 0) return IRREGULAR;
        at += <usize>size;
        kind = NUMBER;
      }
      if (!isEnd(at, end)) return IRREGULAR;
    } else {
      const head = load<u32>(at);
      if (head === 0x65757274) {
        kind = TRUE;
        at += 4;
      } else if (head === 0x6c6c756e) {
        kind = NULL;
        at += 4;
      } else if (head === 0x736c6166 && load<u8>(at, 4) === 101) {
        kind = FALSE;
        at += 5;
      } else if ((head & 0xffffff) === 0x4e614e) {
        kind = NONFINITE;
        at += 3;
      } else {
        const size = infinityLength(at);
        if (size === 0) return IRREGULAR;
        kind = NONFINITE;
        at += <usize>size;
      }
      if (!isEnd(at, end)) return IRREGULAR;
    }
    store<i32>(node, <i32>(at - units), 4);
    store<i32>(node, kind, 12);
    node += 16;
    count += 1;
  }
}

/** The number of the word at `start`; 0 when the vocabulary does not have it. */
function wordAt(start: usize, length: i32, longest: i32): i32 {
  if (length > longest || length <= 0) return 0;
  let word = <i32>load<u8>(SLOTS + (((<usize>length) << 7) | (<usize>load<u8>(start) & 127)));
  while (word !== 0) {
    if (isSame(WORDS + ((<usize>word) << 5), start, length)) return word;
    word = <i32>load<u8>(FOLLOWING + <usize>word);
  }
  return 0;
}

/** True when `length` bytes at both places are equal; at most LONGEST_WORD of them. */
function isSame(left: usize, right: usize, length: i32): boolean {
  const first = i8x16.bitmask(i8x16.ne(v128.load(left), v128.load(right)));
  if (length <= 16) return (first & ((1 << length) - 1)) === 0;
  if (first !== 0) return false;
  const second = i8x16.bitmask(i8x16.ne(v128.load(left, 16), v128.load(right, 16)));
  return (second & ((1 << (length - 16)) - 1)) === 0;
}

/** True when a name stands twice, or when there are so many that telling would take too long. */
function hasRepeatedName(units: usize, tape: usize, firstName: i32): boolean {
  v128.store(SEEN, i8x16.splat(0));
  v128.store(SEEN + 16, i8x16.splat(0));
  let unknownCount = 0;
  let name = firstName;
  while (name !== 0) {
    const node = tape + ((<usize>name) << 4);
    const word = load<i32>(node, 12) >> 8;
    if (word !== 0) {
      const byte = SEEN + (<usize>word >> 3);
      const bit = 1 << (word & 7);
      const seen = <i32>load<u8>(byte);
      if ((seen & bit) !== 0) return true;
      store<u8>(byte, <u8>(seen | bit));
    } else {
      if (unknownCount === LARGEST_UNKNOWN_COUNT) return true;
      const start = load<i32>(node);
      const size = load<i32>(node, 4) - start;
      for (let index = 0; index < unknownCount; index += 1) {
        const entry = UNKNOWN + ((<usize>index) << 3);
        if (load<i32>(entry, 4) !== size) continue;
        if (isEqual(units + <usize>load<i32>(entry), units + <usize>start, size)) return true;
      }
      const entry = UNKNOWN + ((<usize>unknownCount) << 3);
      store<i32>(entry, start);
      store<i32>(entry, size, 4);
      unknownCount += 1;
    }
    name = load<i32>(node, 8);
  }
  return false;
}

function isEqual(left: usize, right: usize, size: i32): boolean {
  for (let index: usize = 0; index < <usize>size; index += 1) {
    if (load<u8>(left + index) !== load<u8>(right + index)) return false;
  }
  return true;
}

/** Characters of the escape at `at`; 0 when it is none of JSON's. */
function escapeLength(at: usize): i32 {
  const letter = load<u8>(at, 1);
  if (letter === 117) {
    for (let index: usize = 2; index < 6; index += 1) {
      const code = load<u8>(at + index);
      const isHex = (code >= 48 && code <= 57) || ((code | 32) >= 97 && (code | 32) <= 102);
      if (!isHex) return 0;
    }
    return 6;
  }
  const isKnown =
    letter === 34 ||
    letter === 92 ||
    letter === 47 ||
    letter === 98 ||
    letter === 102 ||
    letter === 110 ||
    letter === 114 ||
    letter === 116;
  return isKnown ? 2 : 0;
}

/** Characters of `Infinity` or `Inf` at `at`; 0 when neither stands there. */
function infinityLength(at: usize): i32 {
  const head = load<u32>(at);
  if ((head & 0xffffff) !== 0x666e49) return 0;
  return head === 0x69666e49 && load<u32>(at, 4) === 0x7974696e ? 8 : 3;
}

/** Characters of the number at `at`; 0 when it is none of JSON's, or one on whose value readers disagree. */
function numberLength(at: usize): i32 {
  const start = at;
  let code = load<u8>(at);
  const isNegative = code === 45;
  if (isNegative) {
    at += 1;
    code = load<u8>(at);
  }
  const firstDigit = code;
  if (code === 48) {
    at += 1;
    code = load<u8>(at);
  } else {
    if (code < 49 || code > 57) return 0;
    while (code >= 48 && code <= 57) {
      at += 1;
      code = load<u8>(at);
    }
  }
  const wholeSize = <i32>(at - start);
  let isWhole = true;
  if (code === 46) {
    isWhole = false;
    at += 1;
    code = load<u8>(at);
    if (code < 48 || code > 57) return 0;
    while (code >= 48 && code <= 57) {
      at += 1;
      code = load<u8>(at);
    }
  }
  if ((code | 32) === 101) {
    isWhole = false;
    at += 1;
    code = load<u8>(at);
    if (code === 43 || code === 45) {
      at += 1;
      code = load<u8>(at);
    }
    const exponent = at;
    while (code >= 48 && code <= 57) {
      at += 1;
      code = load<u8>(at);
    }
    // Three digits of exponent may be beyond the range of doubles.
    const digits = <i32>(at - exponent);
    if (digits === 0 || digits > 2) return 0;
  }
  const size = <i32>(at - start);
  if (size > 200) return 0;
  // From 2^63 = 9223372036854775808 up to 2^64 readers disagree.
  if (isWhole && !isNegative && (wholeSize === 20 || (wholeSize === 19 && firstDigit === 57))) return 0;
  return size;
}

/** True when nothing of the value before goes on at `at`. */
function isEnd(at: usize, end: usize): boolean {
  const code = load<u8>(at);
  return code === 44 || code === 125 || code === 93 || code === 32 || code === 10 || code === 13 || code === 9 || at === end;
}
