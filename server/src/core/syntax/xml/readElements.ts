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
import { createElementStack, type ElementVisitor, FOREIGN, OUTSIDE, REPEATED, UNBOUND, UNKNOWN } from './elementStack.ts';
import { createNameCodes } from './nameCodes.ts';
import { createNamespaces } from './namespaces.ts';
import { messageForParserError } from './parserErrors.ts';
import { prepareXml } from './prepareXml.ts';
import type { ProblemReporter } from './problemLog.ts';
import { checkAttributes, declareNamespaces, readAttributes, type XmlAttribute } from './tagAttributes.ts';
import type { CompiledVocabulary, ElementRule } from './vocabulary.ts';
import type { XmlLimits } from './xmlLimits.ts';
import { isXmlSpace } from './xmlText.ts';

/** Characters that the search for end tags may look at, in lengths of the text. After that, elements count as closed. */
const SEARCH_BUDGET = 16;

const BLANK = 32;

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
  const stack = createElementStack(vocabulary, visitor, log);
  const namespaces = createNamespaces();
  const codes = createNameCodes(prepared, resolve);
  /** Where the next end tag of a name stands, as far as it has been looked for; infinite when none does. */
  const endTagOf = new Map<string, number>();
  let searchBudget = SEARCH_BUDGET * prepared.length;
  let ownNamespace = vocabulary.namespace;
  let hasRoot = false;
  let hasSecondRoot = false;
  let hasDepthLimit = false;
  /** Depth of the element that is skipped with all it holds; -1 when none is. */
  let ignoredFrom = -1;
  let lastTagEnd = 0;
  /** The end tag that is closing more elements than its own. */
  let pendingEndTag: string | null = null;
  let lastErrorTag = -1;
  let parserErrors = 0;
  let isStopped = false;

  const parser = sax.parser(true, { strictEntities: true });
  parser.bufferCheckPosition = Number.POSITIVE_INFINITY;
  parser.onattribute = ({ name }) => {
    // The parser asks its object of attributes for this very method.
    if (name === 'hasOwnProperty') delete parser.tag.attributes[name];
  };

  parser.onopentag = (tag) => {
    const depth = stack.depth();
    const start = parser.startTagPosition - 1;
    const contentStart = parser.position;
    if (depth === limits.depth && !hasDepthLimit) {
      hasDepthLimit = true;
      log.limit(start, contentStart, `Elements stand more than ${limits.depth} deep here; what is deeper is not read.`);
    }
    if (ignoredFrom === -1) {
      const written = readAttributes(prepared, start + 1 + tag.name.length, contentStart, limits.attributes, log);
      checkTextBefore(start, depth - 1);
      const code = depth >= limits.depth ? FOREIGN : codeFor(tag.name, depth, start, contentStart, written);
      const parent = stack.innermostCode();
      stack.push(code, tag.name, start, contentStart);
      if (code >= 0) {
        if (written.length > 0 || vocabulary.needsAttributes[code] === true) {
          const rule = vocabulary.rules[code] as ElementRule;
          checkAttributes(rule, written, { start, end: contentStart }, namespaces, log);
        }
        visitor.open(code, parent, start, contentStart, written);
        if (vocabulary.isOpaque[code] === true && isClosedLater(tag.name, contentStart)) ignoredFrom = depth;
      } else {
        if (code !== FOREIGN) stack.markReported(depth);
        if (code === UNKNOWN || code === UNBOUND) visitor.leftOut(parent, start, contentStart);
        else if (code === FOREIGN) visitor.foreign?.(parent, start, contentStart);
        if (tag.isSelfClosing || isClosedLater(tag.name, contentStart)) ignoredFrom = depth;
      }
    } else {
      stack.push(OUTSIDE, tag.name, start, contentStart);
    }
    lastTagEnd = contentStart;
  };

  parser.onclosetag = (name) => {
    const depth = stack.depth() - 1;
    const tagStart = parser.startTagPosition - 1;
    if (ignoredFrom === -1) checkTextBefore(tagStart, depth);
    if (pendingEndTag !== null) {
      if (name === pendingEndTag) pendingEndTag = null;
      else stack.reportUnclosed(depth, `</${pendingEndTag}> comes first`);
    }
    // A tag that closes itself has no end tag, so the last `<` lies before its content.
    if (stack.innermost() === depth) stack.closeInnermost(Math.max(stack.contentStartAt(depth), tagStart), parser.position, true);
    if (ignoredFrom === depth) ignoredFrom = -1;
    if (namespaces.leave(depth)) codes.forget();
    stack.pop();
    lastTagEnd = parser.position;
  };

  parser.onerror = (error) => {
    parser.error = null;
    parserErrors += 1;
    if (parserErrors > limits.parserErrors) throw new ReadingStopped();
    const kind = error.message.split('\n', 1)[0] as string;
    if (kind === 'Unexpected close tag') {
      pendingEndTag = parser.tagName;
    } else if (kind.startsWith('Unmatched closing tag')) {
      skipEndTag();
    } else if (kind !== 'Unclosed root tag' && lastErrorTag !== parser.startTagPosition) {
      // One word per tag, or per run of text outside the document element, is enough.
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
    const message = `Reading stops here: more than ${limits.parserErrors} syntax errors stand before this place.`;
    log.limit(Math.max(0, at - 1), at, message);
  }
  finish();

  function finish(): void {
    if (isCut) {
      const message = `Only the first ${text.length} of ${wholeText.length} characters are read.`;
      log.limit(text.length - 1, text.length, message);
    }
    const deepest = stack.depth() - 1;
    if (deepest >= 0 && !isCut && !isStopped && !stack.isReported(deepest)) reportEnd(deepest);
    while (stack.innermost() !== -1) {
      stack.closeInnermost(Math.max(stack.contentStartAt(stack.innermost()), text.length), text.length, false);
    }
    if (!hasRoot) {
      const name = vocabulary.rules[vocabulary.root]?.name ?? '';
      const what = text.trim() === '' ? 'The text is empty.' : 'No element stands in this text.';
      log.unreadable(0, Math.min(1, text.length), `${what} Expected: <${name} xmlns="${vocabulary.namespace}">.`);
    }
  }

  function reportEnd(deepest: number): void {
    const names = stack.names();
    const missing = names
      .slice(-4)
      .reverse()
      .map((name) => `</${name}>`);
    const more = names.length > missing.length ? ' and those around them' : '';
    const message = `The text ends inside this element. Missing: ${missing.join(', ')}${more}.`;
    log.unreadable(stack.startAt(deepest), stack.contentStartAt(deepest), message);
  }

  /** The code of the element that opens; negative when it is to be left out. */
  function codeFor(name: string, depth: number, start: number, end: number, written: readonly XmlAttribute[]): number {
    if (written.length > 0 && declareNamespaces(prepared, written, namespaces, depth)) codes.forget();
    const code = codes.lookUp(name, start + 1);
    return depth === 0 ? rootCode(code, name, start, end) : stack.place(code, name, start, end);
  }

  function resolve(name: string): number {
    const colon = name.indexOf(':');
    const uri = namespaces.lookUp(colon === -1 ? '' : name.slice(0, colon));
    if (uri === null) return UNBOUND;
    const localName = name.slice(colon + 1);
    if (uri !== ownNamespace && vocabulary.belongs?.(uri, localName) !== true) return FOREIGN;
    return vocabulary.codes.get(localName) ?? (vocabulary.passedOver?.has(localName) === true ? FOREIGN : UNKNOWN);
  }

  function rootCode(code: number, name: string, start: number, end: number): number {
    if (hasRoot) {
      if (!hasSecondRoot) {
        log.unreadable(start, end, `A second document element ${name} stands here; only the first one is read.`);
      }
      hasSecondRoot = true;
      return REPEATED;
    }
    hasRoot = true;
    if (code === vocabulary.root) return code;
    const expected = `<${vocabulary.rules[vocabulary.root]?.name ?? ''} xmlns="${vocabulary.namespace}">`;
    if (name === vocabulary.rules[vocabulary.root]?.name && namespaces.lookUp('') === '') {
      log.unreadable(start, end, `${name} is in no namespace. Write ${expected}; it is read as if that stood here.`);
      ownNamespace = '';
      codes.forget();
      return vocabulary.root;
    }
    const found = code >= 0 || code === UNKNOWN ? name : `${name} of another namespace`;
    log.unreadable(start, end, `The document element is ${found}. Expected: ${expected}. Nothing is read.`);
    return REPEATED;
  }

  function skipEndTag(): void {
    pendingEndTag = null;
    const start = parser.startTagPosition - 1;
    const deepest = stack.depth() - 1;
    const expected = deepest >= 0 && !stack.isReported(deepest) ? ` Expected: </${stack.nameAt(deepest)}>.` : '';
    log.unreadable(start, parser.position, `The end tag </${parser.tagName}> closes nothing.${expected}`);
    if (deepest >= 0 && stack.innermost() === deepest && vocabulary.isText[stack.innermostCode()] === true) {
      // A misspelt end tag, most likely: the text of the element goes no further.
      stack.markReported(deepest);
      stack.closeInnermost(start, parser.position, true);
    }
    lastTagEnd = parser.position;
  }

  /** Text between tags, where only white space, comments and instructions may stand. */
  function checkTextBefore(end: number, depth: number): void {
    if (depth < 0 || stack.innermost() !== depth || vocabulary.isText[stack.innermostCode()] === true) return;
    let at = lastTagEnd;
    while (at < end) {
      // Control characters below the blank have been reported as such.
      if (prepared.charCodeAt(at) <= BLANK) {
        at += 1;
      } else if (prepared.startsWith('<!--', at)) {
        at = prepared.indexOf('-->', at + 4) + 3;
      } else if (prepared.startsWith('<?', at)) {
        at = prepared.indexOf('?>', at) + 2;
      } else {
        log.unreadable(at, lastNonSpace(at, end), `${stack.nameAt(depth)} holds elements only; this text is not read.`);
        return;
      }
    }
  }

  /**
   * True when an end tag of this name follows. An element that nothing closes is given up with its tag alone, so that it
   * does not take the rest of the text with it.
   */
  function isClosedLater(name: string, from: number): boolean {
    let at = endTagOf.get(name) ?? -1;
    if (at < from && searchBudget > 0) {
      const endTag = `</${name}`;
      at = prepared.indexOf(endTag, from);
      while (at !== -1 && !isTagEnd(prepared.charCodeAt(at + endTag.length))) at = prepared.indexOf(endTag, at + endTag.length);
      searchBudget -= (at === -1 ? prepared.length : at) - from;
      endTagOf.set(name, at === -1 ? Number.POSITIVE_INFINITY : at);
    }
    return at !== -1 && at !== Number.POSITIVE_INFINITY;
  }

  /** The end of the tag, or of the run of text, that starts at `start`, for underlining. */
  function endOfPiece(start: number): number {
    const isTag = prepared.charCodeAt(start) === 60;
    const found = prepared.indexOf(isTag ? '>' : '<', start);
    if (found === -1) return lastNonSpace(start, prepared.length);
    return isTag ? found + 1 : lastNonSpace(start, found);
  }

  function lastNonSpace(start: number, end: number): number {
    let last = end;
    while (last > start + 1 && isXmlSpace(prepared.charCodeAt(last - 1))) last -= 1;
    return last;
  }
}

function isTagEnd(code: number): boolean {
  return code === 62 || isXmlSpace(code);
}
