/**
 * The elements that are open, and the decision where a new one belongs.
 *
 * Two nestings are kept apart: the parser's, in which an element stays open until an end tag closes it, and the stream's,
 * in which an element also ends where a later one shows that its end tag is lost. The visitor sees the stream.
 *
 * Invariant: an element of the stream is open for the parser too, so the stream is a subsequence of the parser's stack.
 */

import type { ProblemReporter } from './problemLog.ts';
import type { XmlAttribute } from './tagAttributes.ts';
import type { CompiledVocabulary } from './vocabulary.ts';

/** Codes are those of the vocabulary; offsets are into the text. `parent` is -1 for the document element. */
export interface ElementVisitor {
  readonly open: (code: number, parent: number, start: number, contentStart: number, attributes: readonly XmlAttribute[]) => void;
  /**
   * `contentEnd` is where the end tag starts, or whatever showed that the element had ended. `isComplete` is false when
   * the text ended first, so that a number may lack digits.
   */
  readonly close: (
    code: number,
    parent: number,
    start: number,
    contentStart: number,
    contentEnd: number,
    end: number,
    isComplete: boolean,
  ) => void;
  /** An element that may have meant something could not be read inside `parent`. */
  readonly leftOut: (parent: number, start: number, end: number) => void;
  /** An element of another namespace, or one that is passed over, is skipped with all it holds inside `parent`. */
  readonly foreign?: (parent: number, start: number, contentStart: number) => void;
}

/** In the place of a code: an element that is not, or no longer, part of the stream. */
export const OUTSIDE = -1;
export const UNKNOWN = -2;
export const FOREIGN = -3;
export const UNBOUND = -4;
export const REPEATED = -5;

export interface ElementStack {
  /** Elements open for the parser; the next one opens at this depth. */
  readonly depth: () => number;
  /** Puts an element on the parser's stack, and on the stream when `code` is not negative. */
  readonly push: (code: number, name: string, start: number, contentStart: number) => void;
  /** The parser has closed the innermost element. */
  readonly pop: () => void;
  /** Depth of the innermost element of the stream; -1 when there is none. */
  readonly innermost: () => number;
  /** Its code; -1 when there is none. */
  readonly innermostCode: () => number;
  readonly nameAt: (depth: number) => string;
  readonly startAt: (depth: number) => number;
  readonly contentStartAt: (depth: number) => number;
  /** Names from the outside in. */
  readonly names: () => readonly string[];
  readonly isReported: (depth: number) => boolean;
  /** No further word about this element being unclosed. */
  readonly markReported: (depth: number) => void;
  readonly reportUnclosed: (depth: number, why: string) => void;
  /**
   * Finds the place of the element that opens now: closes what its coming shows to be unclosed, reports what is out of
   * place. The code to go on with, negative when the element is to be left out.
   */
  readonly place: (code: number, name: string, start: number, end: number) => number;
  /** Ends the innermost element of the stream. What it lacks is reported when it is complete. */
  readonly closeInnermost: (contentEnd: number, end: number, isComplete: boolean) => void;
}

export function createElementStack(vocabulary: CompiledVocabulary, visitor: ElementVisitor, log: ProblemReporter): ElementStack {
  // Indexed by depth; entries past `openCount` are left over and written again before they are read.
  let openCount = 0;
  const codes: number[] = [];
  const names: string[] = [];
  const starts: number[] = [];
  const contentStarts: number[] = [];
  /** Codes of the children each element has had, as bits. */
  const seen: number[] = [];
  const reported: boolean[] = [];
  /** Depths of the elements of the stream, from the outside in. */
  const stream: number[] = [];

  return {
    depth: () => openCount,
    push,
    pop: () => {
      openCount -= 1;
    },
    innermost,
    innermostCode,
    nameAt: (at) => names[at] as string,
    startAt: (at) => starts[at] as number,
    contentStartAt: (at) => contentStarts[at] as number,
    names: () => names.slice(0, openCount),
    isReported: (at) => reported[at] === true,
    markReported: (at) => {
      reported[at] = true;
    },
    reportUnclosed,
    place,
    closeInnermost,
  };

  function push(code: number, name: string, start: number, contentStart: number): void {
    if (code >= 0) {
      const parent = innermost();
      if (parent !== -1) seen[parent] = (seen[parent] as number) | (1 << code);
      stream.push(openCount);
    }
    codes[openCount] = code < 0 ? OUTSIDE : code;
    names[openCount] = name;
    starts[openCount] = start;
    contentStarts[openCount] = contentStart;
    seen[openCount] = 0;
    reported[openCount] = false;
    openCount += 1;
  }

  function innermost(): number {
    return stream.length === 0 ? -1 : (stream[stream.length - 1] as number);
  }

  function innermostCode(): number {
    return stream.length === 0 ? -1 : (codes[innermost()] as number);
  }

  function place(code: number, name: string, start: number, end: number): number {
    endTextBefore(code, name, start);
    const parent = innermostCode();
    if (parent === -1 || code === FOREIGN) return FOREIGN;
    if (code === UNBOUND) {
      const message = `The prefix of ${name} is bound to no namespace, so this element is not read. Declare it with xmlns:...="...".`;
      log.unreadable(start, end, message);
      return UNBOUND;
    }
    if (code === UNKNOWN) {
      log.unreadable(start, end, `${ruleName(parent)} holds no element ${name}; it is not read. ${expectedIn(parent)}`);
      return UNKNOWN;
    }
    if (!isAllowed(parent, code)) return placeFurtherOut(code, name, start, end);
    return isRepeated(innermost(), code, start, end) ? REPEATED : code;
  }

  /** An element inside one that holds only text ends the latter: it was not closed, or the new one has no business there. */
  function endTextBefore(code: number, name: string, start: number): void {
    const at = innermost();
    if (at === -1 || vocabulary.isText[innermostCode()] !== true) return;
    if (code >= 0 && stream.some((outer) => isAllowed(codes[outer] as number, code))) {
      reportUnclosed(at, `${name} starts first`);
    } else {
      log.unreadable(starts[at] as number, contentStarts[at] as number, `${names[at]} holds text only, no element ${name}.`);
      reported[at] = true;
    }
    closeInnermost(start, start, true);
  }

  /** `code` cannot stand in the innermost element. If it can further out, the elements between were never closed. */
  function placeFurtherOut(code: number, name: string, start: number, end: number): number {
    let target = stream.length - 1;
    while (target >= 0 && !isAllowed(codes[stream[target] as number] as number, code)) target -= 1;
    // One that stands only once out there, and does already, is misplaced rather than a sign of lost end tags.
    if (target < 0 || hasAlready(stream[target] as number, code)) {
      const parent = innermostCode();
      log.unreadable(start, end, `${name} may not stand in ${ruleName(parent)}; it is not read. ${expectedIn(parent)}`);
      return UNKNOWN;
    }
    while (stream.length - 1 > target) {
      reportUnclosed(innermost(), `${name} starts first`);
      closeInnermost(start, start, true);
    }
    return code;
  }

  function isRepeated(parentDepth: number, code: number, start: number, end: number): boolean {
    if (hasAlready(parentDepth, code)) {
      const parent = ruleName(codes[parentDepth] as number);
      log.unreadable(start, end, `${parent} has a second ${ruleName(code)}; only the first one is read.`);
      return true;
    }
    reportOrder(parentDepth, code, start, end);
    return false;
  }

  function hasAlready(at: number, code: number): boolean {
    const once = vocabulary.once[codes[at] as number] as number;
    return (((once & (seen[at] as number)) >> code) & 1) === 1;
  }

  /** Where children repeat, those that stand once come first, in the order of the vocabulary. */
  function reportOrder(parentDepth: number, code: number, start: number, end: number): void {
    const before = seen[parentDepth] as number;
    const rule = vocabulary.rules[codes[parentDepth] as number];
    if (before === 0 || rule === undefined || rule.repeated.length === 0 || rule.repeated.includes(code)) return;
    const inOrder = [...rule.required, ...rule.optional, ...rule.repeated];
    const late = inOrder.slice(inOrder.indexOf(code) + 1).find((later) => ((before >> later) & 1) === 1);
    if (late === undefined) return;
    const message = `${ruleName(code)} must stand before the first ${ruleName(late)} of its ${rule.name}; it is read all the same.`;
    log.unreadable(start, end, message);
  }

  function closeInnermost(contentEnd: number, end: number, isComplete: boolean): void {
    const at = stream.pop();
    if (at === undefined) return;
    const code = codes[at] as number;
    codes[at] = OUTSIDE;
    if (isComplete) reportMissing(at, code);
    visitor.close(code, innermostCode(), starts[at] as number, contentStarts[at] as number, contentEnd, end, isComplete);
  }

  function reportMissing(at: number, code: number): void {
    const missing = (vocabulary.required[code] as number) & ~(seen[at] as number);
    if (missing === 0) return;
    for (const child of vocabulary.rules[code]?.required ?? []) {
      if (((missing >> child) & 1) === 0) continue;
      log.unreadable(starts[at] as number, contentStarts[at] as number, `This ${ruleName(code)} has no ${ruleName(child)}.`);
    }
  }

  function reportUnclosed(at: number, why: string): void {
    if (reported[at] === true) return;
    reported[at] = true;
    const name = names[at] as string;
    const message = `${name} is not closed: ${why}. Expected: </${name}>.`;
    log.unreadable(starts[at] as number, contentStarts[at] as number, message);
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
}
