/**
 * Reads XML as a stream of elements of one vocabulary, with exact places, whatever state the text is in.
 *
 * The SAX parser splits the text into tags. This file turns its events into a clean stream: what the visitor sees is
 * strictly nested, stands where the vocabulary allows it and occurs as often as it may. Everything else is reported and
 * left out, and reading goes on:
 * - an element that starts where it cannot stand, but could stand further out, shows that the elements between were never
 *   closed; they are closed there (one lost `</EntryPoint>` does not take the clip with it);
 * - an unknown element is skipped with its content, or only its tag when nothing closes it;
 * - elements of other namespaces are skipped without a word;
 * - an end tag that closes nothing is skipped.
 *
 * Invariants
 * - Never throws, never recurses; work and memory are linear in the text, save for the bounded number of parser errors.
 * - `open` and `close` calls of the visitor are balanced, also when the text ends early.
 *
 * The parser's own gaps are closed here: it takes a repeated attribute and a second document element without a word.
 */

import sax from 'sax/lib/sax.js';
import { createNamespaces } from './namespaces.ts';
import { messageForParserError } from './parserErrors.ts';
import { prepareXml } from './prepareXml.ts';
import type { ProblemReporter } from './problemLog.ts';
import { createTagAttributes, type XmlAttribute } from './tagAttributes.ts';
import type { CompiledVocabulary } from './vocabulary.ts';
import type { XmlLimits } from './xmlLimits.ts';
import { isXmlSpace } from './xmlText.ts';

/** Codes are those of the vocabulary; offsets are into the text. `parent` is -1 for the document element. */
export interface ElementVisitor {
  readonly open: (code: number, parent: number, start: number, contentStart: number, attributes: readonly XmlAttribute[]) => void;
  /** `contentEnd` is where the end tag starts, or whatever showed that the element had ended. */
  readonly close: (code: number, parent: number, start: number, contentStart: number, contentEnd: number, end: number) => void;
  /** An element that may have meant something could not be read inside `parent`. */
  readonly leftOut: (parent: number, start: number, end: number) => void;
}

/** In the place of a code: an element that is not part of the stream, or no longer. */
const OUTSIDE = -1;
const UNKNOWN = -2;
const FOREIGN = -3;
const UNBOUND = -4;
const REPEATED = -5;

/** Fruitless searches for an end tag, each through the rest of the text; more unclosed names than this are not looked for. */
const LARGEST_FRUITLESS_SEARCHES = 64;

class ReadingStopped extends Error {}

export function readElements(
  wholeText: string,
  vocabulary: CompiledVocabulary,
  visitor: ElementVisitor,
  limits: XmlLimits,
  log: ProblemReporter,
): void {
  const isCut = wholeText.length > limits.textLength;
  const text = isCut ? wholeText.slice(0, limits.textLength) : wholeText;
  const prepared = prepareXml(text, log);

  // One entry per open element of the parser, whether or not it is part of the stream.
  const codes: number[] = [];
  const names: string[] = [];
  const starts: number[] = [];
  const contentStarts: number[] = [];
  const seen: number[] = [];
  const isReported: boolean[] = [];
  /** Depths of the open elements of the stream. */
  const frames: number[] = [];

  const namespaces = createNamespaces();
  const codeOfName = new Map<string, number>();
  let ownNamespace = vocabulary.namespace;
  let hasRoot = false;
  let hasSecondRoot = false;
  let hasDepthLimit = false;
  let ignoredFrom = -1;
  let lastTagEnd = 0;
  let pendingEndTag: string | null = null;
  let lastErrorTag = -1;
  let parserErrors = 0;
  let isStopped = false;
  let fruitlessSearches = 0;
  const neverClosed = new Set<string>();

  const parser = sax.parser(true, { strictEntities: true });
  parser.bufferCheckPosition = Number.POSITIVE_INFINITY;
  const attributes = createTagAttributes(prepared, parser, limits.attributes, log);
  parser.onattribute = attributes.add;

  parser.onopentag = (tag) => {
    const depth = codes.length;
    const start = parser.startTagPosition - 1;
    const contentStart = parser.position;
    const written = attributes.take();
    if (depth === limits.depth && !hasDepthLimit) {
      hasDepthLimit = true;
      log.limit(start, contentStart, `Elements stand more than ${limits.depth} deep here; what is deeper is not read.`);
    }
    if (ignoredFrom === -1) {
      checkTextBefore(start, depth - 1);
      const code = depth >= limits.depth ? FOREIGN : codeFor(tag.name, depth, start, contentStart, written);
      const parentDepth = frames.at(-1) ?? -1;
      const parent = parentDepth === -1 ? -1 : (codes[parentDepth] as number);
      push(code < 0 ? OUTSIDE : code, tag.name, start, contentStart);
      if (code >= 0) {
        frames.push(depth);
        if (parentDepth !== -1) seen[parentDepth] = (seen[parentDepth] as number) | (1 << code);
        attributes.check(vocabulary.rules[code], written, start, contentStart, hasNamespace);
        visitor.open(code, parent, start, contentStart, written);
      } else {
        if (code !== FOREIGN) {
          isReported[depth] = true;
          if (code !== REPEATED) visitor.leftOut(parent, start, contentStart);
        }
        if (tag.isSelfClosing || isClosedLater(tag.name, contentStart)) ignoredFrom = depth;
      }
    } else {
      push(OUTSIDE, tag.name, start, contentStart);
    }
    lastTagEnd = contentStart;
  };

  parser.onclosetag = (name) => {
    const depth = codes.length - 1;
    const tagStart = parser.startTagPosition - 1;
    if (ignoredFrom === -1) checkTextBefore(tagStart, depth);
    if (pendingEndTag !== null) {
      if (name === pendingEndTag) pendingEndTag = null;
      else reportUnclosed(depth, `</${pendingEndTag}> comes first`);
    }
    const contentStart = contentStarts[depth] as number;
    // A tag that closes itself has no end tag, so the last `<` lies before its content.
    if (frames.at(-1) === depth) closeFrame(Math.max(contentStart, tagStart), parser.position, true);
    if (ignoredFrom === depth) ignoredFrom = -1;
    if (namespaces.leave(depth)) codeOfName.clear();
    pop();
    lastTagEnd = parser.position;
  };

  parser.onprocessinginstruction = ({ name }) => {
    const start = parser.startTagPosition - 1;
    if (name === 'xml' && start > (prepared.charCodeAt(0) === 0xfeff ? 1 : 0)) {
      log.unreadable(start, parser.position, 'An XML declaration may only stand at the very start of the text.');
    }
  };

  parser.onerror = (error) => {
    parser.error = null;
    parserErrors += 1;
    if (parserErrors > limits.parserErrors) throw new ReadingStopped();
    const kind = error.message.split('\n', 1)[0] as string;
    if (kind === 'Unexpected close tag') pendingEndTag = parser.tagName;
    else if (kind.startsWith('Unmatched closing tag')) skipEndTag();
    else if (kind !== 'Unclosed root tag' && lastErrorTag !== parser.startTagPosition) {
      lastErrorTag = parser.startTagPosition;
      const isOutside = kind.startsWith('Non-whitespace') || kind.startsWith('Text data');
      const start = isOutside ? parser.position - 1 : parser.startTagPosition - 1;
      log.unreadable(start, endOfPiece(start), messageForParserError(kind));
    }
  };

  try {
    parser.write(prepared).close();
  } catch (error) {
    if (!(error instanceof ReadingStopped)) throw error;
    isStopped = true;
    const at = Math.min(parser.position, text.length);
    log.limit(
      Math.max(0, at - 1),
      at,
      `Reading stops here: more than ${limits.parserErrors} syntax errors stand before this place.`,
    );
  }
  finish();

  function finish(): void {
    if (isCut) {
      const end = wholeText.length;
      log.limit(text.length - 1, text.length, `Only the first ${text.length} of ${end} characters are read.`);
    }
    const innermost = codes.length - 1;
    if (innermost >= 0 && !isCut && !isStopped && isReported[innermost] !== true) {
      const missing = names
        .slice(-4)
        .reverse()
        .map((name) => `</${name}>`)
        .join(', ');
      const more = names.length > 4 ? ' and those around them' : '';
      const start = starts[innermost] as number;
      log.unreadable(start, contentStarts[innermost] as number, `The text ends inside this element. Missing: ${missing}${more}.`);
    }
    while (frames.length > 0) {
      const contentStart = contentStarts[frames.at(-1) as number] as number;
      closeFrame(Math.max(contentStart, text.length), text.length, false);
    }
    if (!hasRoot) {
      const name = vocabulary.rules[vocabulary.root]?.name ?? '';
      const isEmpty = text.trim() === '';
      const what = isEmpty ? 'The text is empty.' : 'No element stands in this text.';
      log.unreadable(0, Math.min(1, text.length), `${what} Expected: <${name} xmlns="${vocabulary.namespace}">.`);
    }
  }

  function push(code: number, name: string, start: number, contentStart: number): void {
    codes.push(code);
    names.push(name);
    starts.push(start);
    contentStarts.push(contentStart);
    seen.push(0);
    isReported.push(false);
  }

  function pop(): void {
    codes.pop();
    names.pop();
    starts.pop();
    contentStarts.pop();
    seen.pop();
    isReported.pop();
  }

  /** The code of the element that opens, after putting right what its place shows; negative when it is to be left out. */
  function codeFor(name: string, depth: number, start: number, end: number, written: readonly XmlAttribute[]): number {
    if (attributes.declareNamespaces(written, namespaces, depth)) codeOfName.clear();
    let code = codeOfName.get(name);
    if (code === undefined) {
      code = resolve(name);
      codeOfName.set(name, code);
    }
    if (depth === 0) return rootCode(code, name, start, end);
    endTextBefore(code, name, start);
    const parentDepth = frames.at(-1);
    if (parentDepth === undefined) return FOREIGN;
    const parent = codes[parentDepth] as number;
    if (code === UNBOUND) {
      log.unreadable(
        start,
        end,
        `The prefix of ${name} is bound to no namespace, so this element is not read. Declare it with xmlns:...`,
      );
      return UNBOUND;
    }
    if (code === UNKNOWN) {
      const expected = expectedIn(parent);
      log.unreadable(start, end, `${ruleName(parent)} holds no element ${name}; it is not read. ${expected}`);
      return UNKNOWN;
    }
    if (code === FOREIGN) return FOREIGN;
    if (!isAllowed(parent, code)) return codeAfterClosing(code, name, start, end);
    return isRepeated(parentDepth, code, start, end) ? REPEATED : code;
  }

  function rootCode(code: number, name: string, start: number, end: number): number {
    if (hasRoot) {
      if (!hasSecondRoot)
        log.unreadable(start, end, `A second document element ${name} stands here; only the first one is read.`);
      hasSecondRoot = true;
      return UNKNOWN;
    }
    hasRoot = true;
    if (code === vocabulary.root) return code;
    const rootName = ruleName(vocabulary.root);
    if (name === rootName && namespaces.lookUp('') === '') {
      log.unreadable(
        start,
        end,
        `${name} is in no namespace. Write <${name} xmlns="${vocabulary.namespace}">; it is read as if that stood here.`,
      );
      ownNamespace = '';
      codeOfName.clear();
      return vocabulary.root;
    }
    const found = code >= 0 || code === UNKNOWN ? name : `${name} of another namespace`;
    log.unreadable(
      start,
      end,
      `The document element is ${found}. Expected: <${rootName} xmlns="${vocabulary.namespace}">. Nothing is read.`,
    );
    return UNKNOWN;
  }

  /** An element inside one that holds only text ends the latter: it was not closed, or the new one has no business there. */
  function endTextBefore(code: number, name: string, start: number): void {
    const depth = frames.at(-1);
    if (depth === undefined || vocabulary.rules[codes[depth] as number]?.holds !== 'text') return;
    const isUnclosed = code >= 0 && frames.some((frame) => isAllowed(codes[frame] as number, code));
    if (isUnclosed) reportUnclosed(depth, `${name} starts first`);
    else
      log.unreadable(
        starts[depth] as number,
        contentStarts[depth] as number,
        `${names[depth]} holds text only, no element ${name}.`,
      );
    isReported[depth] = true;
    closeFrame(start, start, true);
  }

  /** `code` cannot stand in the innermost element. If it can further out, the elements between were never closed. */
  function codeAfterClosing(code: number, name: string, start: number, end: number): number {
    let target = frames.length - 1;
    while (target >= 0 && !isAllowed(codes[frames[target] as number] as number, code)) target -= 1;
    // An element that may stand only once out there is far likelier misplaced than a sign of lost end tags.
    const isOnce = target >= 0 && (((vocabulary.once[codes[frames[target] as number] as number] as number) >> code) & 1) === 1;
    if (target < 0 || (isOnce && (((seen[frames[target] as number] as number) >> code) & 1) === 1)) {
      const parent = codes[frames.at(-1) as number] as number;
      log.unreadable(start, end, `${name} may not stand in ${ruleName(parent)}; it is not read. ${expectedIn(parent)}`);
      return UNKNOWN;
    }
    while (frames.length - 1 > target) {
      const depth = frames.at(-1) as number;
      reportUnclosed(depth, `${name} starts first`);
      closeFrame(start, start, true);
    }
    return code;
  }

  function isRepeated(parentDepth: number, code: number, start: number, end: number): boolean {
    const parent = codes[parentDepth] as number;
    const before = seen[parentDepth] as number;
    const once = vocabulary.once[parent] as number;
    if (((once >> code) & 1) === 0) return false;
    if (((before >> code) & 1) === 1) {
      log.unreadable(start, end, `${ruleName(parent)} has a second ${ruleName(code)}; only the first one is read.`);
      return true;
    }
    const following = before & ~once;
    if (following !== 0) {
      const first = ruleName(31 - Math.clz32(following & -following));
      log.unreadable(
        start,
        end,
        `${ruleName(code)} must stand before the first ${first} of its ${ruleName(parent)}; it is read all the same.`,
      );
    }
    return false;
  }

  function closeFrame(contentEnd: number, end: number, isComplete: boolean): void {
    const depth = frames.pop() as number;
    const code = codes[depth] as number;
    codes[depth] = OUTSIDE;
    if (isComplete) reportMissing(depth, code);
    const parentDepth = frames.at(-1);
    const parent = parentDepth === undefined ? -1 : (codes[parentDepth] as number);
    visitor.close(code, parent, starts[depth] as number, contentStarts[depth] as number, contentEnd, end);
  }

  function reportMissing(depth: number, code: number): void {
    const missing = (vocabulary.required[code] as number) & ~(seen[depth] as number);
    if (missing === 0) return;
    for (const child of vocabulary.rules[code]?.required ?? []) {
      if (((missing >> child) & 1) === 0) continue;
      log.unreadable(
        starts[depth] as number,
        contentStarts[depth] as number,
        `This ${ruleName(code)} has no ${ruleName(child)}.`,
      );
    }
  }

  function reportUnclosed(depth: number, why: string): void {
    if (isReported[depth] === true) return;
    isReported[depth] = true;
    const name = names[depth] as string;
    log.unreadable(
      starts[depth] as number,
      contentStarts[depth] as number,
      `${name} is not closed: ${why}. Expected: </${name}>.`,
    );
  }

  function skipEndTag(): void {
    pendingEndTag = null;
    const start = parser.startTagPosition - 1;
    const innermost = codes.length - 1;
    const expected = innermost >= 0 && isReported[innermost] !== true ? ` Expected: </${names[innermost]}>.` : '';
    log.unreadable(start, parser.position, `The end tag </${parser.tagName}> closes nothing.${expected}`);
    if (innermost >= 0 && frames.at(-1) === innermost && vocabulary.rules[codes[innermost] as number]?.holds === 'text') {
      // A misspelt end tag, most likely: the text of the element goes no further.
      isReported[innermost] = true;
      closeFrame(start, parser.position, true);
    }
    lastTagEnd = parser.position;
  }

  /** Text between tags, where only white space, comments and instructions may stand. */
  function checkTextBefore(end: number, depth: number): void {
    if (depth < 0 || frames.at(-1) !== depth || vocabulary.rules[codes[depth] as number]?.holds !== 'elements') return;
    let at = lastTagEnd;
    while (at < end) {
      if (isXmlSpace(prepared.charCodeAt(at))) {
        at += 1;
      } else if (prepared.startsWith('<!--', at)) {
        at = prepared.indexOf('-->', at + 4) + 3;
      } else if (prepared.startsWith('<?', at)) {
        at = prepared.indexOf('?>', at) + 2;
      } else {
        let last = end;
        while (isXmlSpace(prepared.charCodeAt(last - 1))) last -= 1;
        log.unreadable(at, last, `${names[depth]} holds elements only; this text is not read.`);
        return;
      }
    }
  }

  function resolve(name: string): number {
    const colon = name.indexOf(':');
    const uri = namespaces.lookUp(colon === -1 ? '' : name.slice(0, colon));
    if (uri === null) return UNBOUND;
    if (uri !== ownNamespace) return FOREIGN;
    return vocabulary.codes.get(name.slice(colon + 1)) ?? UNKNOWN;
  }

  function hasNamespace(prefix: string): boolean {
    return namespaces.lookUp(prefix) !== null;
  }

  function isClosedLater(name: string, from: number): boolean {
    if (neverClosed.has(name)) return false;
    if (fruitlessSearches >= LARGEST_FRUITLESS_SEARCHES) return true;
    const endTag = `</${name}`;
    for (let at = prepared.indexOf(endTag, from); at !== -1; at = prepared.indexOf(endTag, at + endTag.length)) {
      const next = prepared.charCodeAt(at + endTag.length);
      if (next === 62 || isXmlSpace(next)) return true;
    }
    neverClosed.add(name);
    fruitlessSearches += 1;
    return false;
  }

  function isAllowed(parent: number, code: number): boolean {
    return (((vocabulary.allowed[parent] ?? 0) >> code) & 1) === 1;
  }

  function ruleName(code: number): string {
    return vocabulary.rules[code]?.name ?? '';
  }

  function expectedIn(parent: number): string {
    const rule = vocabulary.rules[parent];
    if (rule === undefined) return '';
    const children = [...rule.required, ...rule.optional, ...rule.repeated].map(ruleName);
    return children.length === 0 ? `${rule.name} holds text.` : `Expected: ${children.join(', ')}.`;
  }

  /** The end of the tag, or of the run of text, that starts at `start`, for underlining. */
  function endOfPiece(start: number): number {
    if (prepared.charCodeAt(start) !== 60) {
      const next = prepared.indexOf('<', start);
      const end = next === -1 ? prepared.length : next;
      let last = end;
      while (last > start + 1 && isXmlSpace(prepared.charCodeAt(last - 1))) last -= 1;
      return last;
    }
    const end = prepared.indexOf('>', start);
    return end === -1 ? prepared.length : end + 1;
  }
}
