/**
 * Readies a text for the SAX parser, without moving a character.
 *
 * One unclosed quote or comment makes any XML parser swallow what follows. An editor sees such texts with every key
 * press, so the damage is found first, reported, and taken out of the parser's copy: each broken piece is overwritten
 * by as many characters, so that every offset of the copy is an offset of the text. Refused for good here: DOCTYPE and
 * every other markup declaration, and references to entities beyond the five predefined ones.
 *
 * Invariants
 * - `prepared.length === text.length`; a text without damage is returned as it is.
 * - In the copy every `<` starts a tag, a comment, a CDATA section or an instruction, and each of them ends.
 *
 * Cost: one pass, about 3 % of the parser's own time.
 */

import type { ProblemReporter } from './problemLog.ts';
import { repairTag } from './repairTag.ts';
import { expandReference, isXmlSpace } from './xmlText.ts';

const LESS_THAN = 60;
const GREATER_THAN = 62;
const EXCLAMATION = 33;
const QUESTION = 63;
const SLASH = 47;
const DOUBLE_QUOTE = 34;
const SINGLE_QUOTE = 39;

const REFERENCE = /&(#?[A-Za-z0-9_:.-]{1,64});/y;
const NAME_START =
  /[\u00c0-\u00d6\u00d8-\u00f6\u00f8-\u02ff\u0370-\u037d\u037f-\u1fff\u200c-\u200d\u2070-\u218f\u2c00-\u2fef\u3001-\ud7ff\uf900-\ufdcf\ufdf0-\ufffd]/;
/** XML 1.0, productions 16 and 17; without colons, as Namespaces in XML wants. */
const INSTRUCTION_TARGET = /^[A-Za-z_\u0080-\uffff][\w.\-\u0080-\uffff]*(?=[ \t\r\n]|$)/;
/** XML 1.0, productions 23 to 32 and 80. */
const XML_DECLARATION =
  /^xml[ \t\r\n]+version[ \t\r\n]*=[ \t\r\n]*(["'])1\.[0-9]+\1(?:[ \t\r\n]+encoding[ \t\r\n]*=[ \t\r\n]*(["'])[A-Za-z][\w.-]*\2)?(?:[ \t\r\n]+standalone[ \t\r\n]*=[ \t\r\n]*(["'])(?:yes|no)\3)?[ \t\r\n]*$/;
const LONGEST_DECLARATION = 1000;
// biome-ignore lint/suspicious/noControlCharactersInRegex: these are the characters XML forbids.
const FORBIDDEN = /[\u0000-\u0008\u000b\u000c\u000e-\u001f\ufffe\uffff]/g;
const ANY_SURROGATE = /[\ud800-\udfff]/;
const LONE_SURROGATE = /[\ud800-\udfff]/gu;

/** The copy for the parser; what was wrong goes to `log`. */
export function prepareXml(text: string, log: ProblemReporter): string {
  reportForbiddenCharacters(text, log);
  const patches: Patch[] = [];
  const blank = (start: number, end: number): void => {
    patches.push({ start, end, replacement: ' '.repeat(end - start) });
  };
  let ampersand = text.indexOf('&');
  const checkReferencesBefore = (end: number): void => {
    while (ampersand !== -1 && ampersand < end) {
      REFERENCE.lastIndex = ampersand;
      const match = REFERENCE.exec(text);
      if (match === null || expandReference(match[1] as string) === null) {
        blank(ampersand, ampersand + 1);
        log.unreadable(ampersand, match === null ? ampersand + 1 : REFERENCE.lastIndex, referenceMessage(match?.[0] ?? null));
      }
      ampersand = text.indexOf('&', ampersand + 1);
    }
  };
  const skipReferencesBefore = (end: number): void => {
    if (ampersand !== -1 && ampersand < end) ampersand = text.indexOf('&', end);
  };

  let brackets = text.indexOf(']]>');
  const checkBrackets = (start: number, end: number): void => {
    while (brackets !== -1 && brackets < end) {
      if (brackets >= start) {
        log.unreadable(
          brackets,
          brackets + 3,
          "']]>' may stand in text only as the end of a CDATA section; otherwise it is written ]]&gt;.",
        );
      }
      brackets = text.indexOf(']]>', brackets + 3);
    }
  };

  let at = startOf(text);
  let open = text.indexOf('<', at);
  const prologEnd = open === -1 ? text.length : open;
  if (text.slice(at, prologEnd).trim() !== '') {
    log.unreadable(at, prologEnd, 'Text stands before the first tag. An XML timeline starts with <?xml ...?> or <Timeline ...>.');
    blank(at, prologEnd);
    skipReferencesBefore(prologEnd);
  }
  while (open !== -1) {
    if (patches.length > 0 && log.isFull()) {
      // Nothing but damage: reading on would only cost memory.
      blank(open, text.length);
      log.limit(open, text.length, 'Reading stops here: the text has too many broken places.');
      break;
    }
    checkReferencesBefore(open);
    checkBrackets(at, open);
    const code = text.charCodeAt(open + 1);
    if (code === EXCLAMATION || code === QUESTION) {
      at = endOfMarkup(text, open, log, blank);
      skipReferencesBefore(at);
    } else if (!startsName(code) && !(code === SLASH && startsName(text.charCodeAt(open + 2)))) {
      at = text.startsWith('</>', open) ? open + 3 : open + 1;
      const what = code === SLASH ? 'An end tag without a name' : "A '<' that starts no tag";
      log.unreadable(open, at, `${what} stands here. Inside text a '<' is written &lt;.`);
      blank(open, at);
    } else {
      const stop = tagStop(text, open + 1);
      if (text.charCodeAt(stop) === GREATER_THAN) {
        at = stop + 1;
      } else {
        const repaired = repairTag(text.slice(open, stop));
        const last = lastNonSpace(text, open, stop);
        log.unreadable(open, last, unclosedTagMessage(text, open, stop));
        patches.push({ start: open, end: stop, replacement: repaired });
        at = stop;
      }
      checkReferencesBefore(at);
    }
    open = text.indexOf('<', at);
  }
  if (open === -1) {
    checkReferencesBefore(text.length);
    checkBrackets(at, text.length);
  }
  return applyPatches(text, patches);
}

interface Patch {
  readonly start: number;
  readonly end: number;
  readonly replacement: string;
}

/** Where the tag that begins before `from` stops: at its `>`, at a `<` that comes first, or at the end of the text. */
export function tagStop(text: string, from: number): number {
  const length = text.length;
  let quote = 0;
  for (let at = from; at < length; at += 1) {
    const code = text.charCodeAt(at);
    if (code === LESS_THAN) return at;
    if (quote !== 0) {
      if (code === quote) quote = 0;
    } else if (code === GREATER_THAN) {
      return at;
    } else if (code === DOUBLE_QUOTE || code === SINGLE_QUOTE) {
      quote = code;
    }
  }
  return length;
}

/** The offset after a comment, CDATA section, instruction or declaration; unended and refused ones are blanked. */
function endOfMarkup(text: string, open: number, log: ProblemReporter, blank: (start: number, end: number) => void): number {
  const closed = (name: string, terminator: string, from: number): number => {
    const found = text.indexOf(terminator, from);
    if (found !== -1) return found + terminator.length;
    log.unreadable(open, from, `This ${name} never ends: '${terminator}' is missing, and nothing after it can be read.`);
    blank(open, text.length);
    return text.length;
  };
  if (text.startsWith('<!--', open)) return closed('comment', '-->', open + 4);
  if (text.startsWith('<![CDATA[', open)) return closed('CDATA section', ']]>', open + 9);
  if (text.charCodeAt(open + 1) === QUESTION) {
    const end = closed('processing instruction', '?>', open + 2);
    const problem = instructionProblem(text, open, end);
    if (problem !== null) log.unreadable(open, end, problem);
    return end;
  }
  const end = declarationEnd(text, open);
  const isDoctype = text.slice(open, open + 9).toUpperCase() === '<!DOCTYPE';
  log.unreadable(
    open,
    end,
    isDoctype
      ? 'A DOCTYPE stands here. Timelines have none: what it declares or names is not read, and no entity is expanded. Remove it.'
      : "A markup declaration ('<!...') stands here. Timelines have none; it is not read. Remove it, or write a comment as <!-- ... -->.",
  );
  blank(open, end);
  return end;
}

/** What is wrong with the instruction or XML declaration at `open`, which ends at `end`. */
function instructionProblem(text: string, open: number, end: number): string | null {
  if (!text.startsWith('?>', end - 2)) return null;
  const body = text.slice(open + 2, Math.min(end - 2, open + LONGEST_DECLARATION));
  const target = INSTRUCTION_TARGET.exec(body)?.[0];
  if (target === undefined) return 'A processing instruction starts with a name, as in <?name ...?>. Nothing in it is read.';
  if (target.toLowerCase() !== 'xml') return null;
  if (open > startOf(text)) return 'An XML declaration may only stand at the very start of the text.';
  return XML_DECLARATION.test(body)
    ? null
    : 'This XML declaration is malformed. Expected: <?xml version="1.0" encoding="UTF-8"?>.';
}

/** Where the text starts, behind a byte order mark. */
function startOf(text: string): number {
  return text.charCodeAt(0) === 0xfeff ? 1 : 0;
}

/** The offset after a declaration, its internal subset with quotes and comments included. */
function declarationEnd(text: string, open: number): number {
  let depth = 0;
  let at = open + 2;
  while (at < text.length) {
    const code = text.charCodeAt(at);
    if (code === DOUBLE_QUOTE || code === SINGLE_QUOTE) {
      const close = text.indexOf(code === DOUBLE_QUOTE ? '"' : "'", at + 1);
      if (close === -1) break;
      at = close;
    } else if (code === LESS_THAN && text.startsWith('<!--', at)) {
      const close = text.indexOf('-->', at + 4);
      if (close === -1) break;
      at = close + 2;
    } else if (code === 91) {
      depth += 1;
    } else if (code === 93) {
      depth -= 1;
    } else if (code === GREATER_THAN && depth <= 0) {
      return at + 1;
    }
    at += 1;
  }
  // Not ended as it should be: give up no more than up to the first '>'.
  const first = text.indexOf('>', open);
  return first === -1 ? text.length : first + 1;
}

function reportForbiddenCharacters(text: string, log: ProblemReporter): void {
  const patterns = ANY_SURROGATE.test(text) ? [FORBIDDEN, LONE_SURROGATE] : [FORBIDDEN];
  for (const pattern of patterns) {
    pattern.lastIndex = 0;
    const first = pattern.exec(text);
    if (first === null) continue;
    let count = 1;
    while (pattern.exec(text) !== null) count += 1;
    const name = `U+${first[0].charCodeAt(0).toString(16).toUpperCase().padStart(4, '0')}`;
    const more = count > 1 ? ` ${count - 1} more like it follow.` : '';
    log.unreadable(first.index, first.index + 1, `The character ${name} may not stand in XML.${more} Is this file text at all?`);
  }
}

function referenceMessage(reference: string | null): string {
  if (reference === null) return "A bare '&' stands here. Inside text it is written &amp;.";
  return `${reference} stands for nothing: only &amp; &lt; &gt; &quot; &apos; and character references such as &#38; are read.`;
}

function unclosedTagMessage(text: string, open: number, stop: number): string {
  const name = /^<\/?[^\s<>"'=/]*/.exec(text.slice(open, Math.min(stop, open + 80)))?.[0] ?? '<';
  const where = stop === text.length ? 'before the text ends' : "before the next '<'";
  return `The tag ${name} is not closed: a '>' or a quotation mark is missing ${where}.`;
}

function lastNonSpace(text: string, start: number, end: number): number {
  let last = end;
  while (last > start + 1 && isXmlSpace(text.charCodeAt(last - 1))) last -= 1;
  return last;
}

/** XML 1.0, production 4, as far as the parser goes: characters of the basic plane. */
function startsName(code: number): boolean {
  if ((code >= 97 && code <= 122) || (code >= 65 && code <= 90) || code === 95 || code === 58) return true;
  return code >= 128 && NAME_START.test(String.fromCharCode(code));
}

function applyPatches(text: string, patches: readonly Patch[]): string {
  if (patches.length === 0) return text;
  const pieces: string[] = [];
  let position = 0;
  for (const patch of patches.toSorted((left, right) => left.start - right.start)) {
    // A bad reference inside a tag that was overwritten as a whole.
    if (patch.start < position) continue;
    pieces.push(text.slice(position, patch.start), patch.replacement);
    position = patch.end;
  }
  pieces.push(text.slice(position));
  return pieces.join('');
}
