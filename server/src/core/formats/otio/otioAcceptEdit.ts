/**
 * Writing an acceptance into a clip's metadata, in the file's own layout.
 *
 * The text is inserted after what stands there, with the indentation, line breaks and blanks that the clip is written with;
 * nothing that is there is written anew.
 *
 * Cost: only the clip is read again, however long the timeline around it is.
 */

import {
  endOf,
  firstChild,
  type JsonDocument,
  kindOf,
  member,
  nextSibling,
  parseJson,
  startOf,
  stringOf,
} from '../../syntax/json/jsonDocument.ts';
import type { TextEdit } from '../../text/textEdit.ts';
import type { Timeline } from '../../timeline/model.ts';
import type { Change, EditResult } from '../timelineFormat.ts';

type Acceptance = Extract<Change, { kind: 'accept' }>;

/** How an object of this file is laid out. */
interface Layout {
  /** Line break and indentation of the clip's own members; null when the clip stands on one line. */
  readonly memberBreak: string | null;
  /** One level of indentation. */
  readonly unit: string;
  readonly afterColon: string;
  /** Between elements on one line. */
  readonly afterComma: string;
}

export function acceptanceEdits(text: string, timeline: Timeline, change: Acceptance): EditResult {
  const clip = timeline.clips[change.clip];
  if (clip === undefined) return { ok: false, reason: 'The clip is not in this timeline any more.' };
  const { start, end } = clip.span;
  const document = parseJson(text.slice(start, end));
  const node = objectAt(document, 0);
  if (node === -1) return { ok: false, reason: 'The clip is not at its place in this text any more.' };
  const layout = layoutOf(document, node, indentAt(text, start));
  const ok = (edits: readonly TextEdit[]): EditResult => ({ ok: true, edits: shifted(edits, start) });
  const entry: Json = { code: change.code, reason: change.reason };

  const metadata = member(document, node, 'metadata');
  if (metadata === -1) return ok(addMember(document, node, 1, layout, 'metadata', { afterclap: { accept: [entry] } }));
  if (kindOf(document, metadata) === 'null')
    return ok(replaceValue(document, metadata, 1, layout, { afterclap: { accept: [entry] } }));
  if (kindOf(document, metadata) !== 'object') return notAnObject('metadata');

  const own = member(document, metadata, 'afterclap');
  if (own === -1) return ok(addMember(document, metadata, 2, layout, 'afterclap', { accept: [entry] }));
  if (kindOf(document, own) === 'null') return ok(replaceValue(document, own, 2, layout, { accept: [entry] }));
  if (kindOf(document, own) !== 'object') return notAnObject('metadata.afterclap');

  const accept = member(document, own, 'accept');
  if (accept === -1) return ok(addMember(document, own, 3, layout, 'accept', [entry]));
  switch (kindOf(document, accept)) {
    case 'null':
      return ok(replaceValue(document, accept, 3, layout, [entry]));
    case 'array':
      return ok(isAccepted(document, firstChild(document, accept), change) ? [] : addElement(document, accept, layout, entry));
    case 'object':
      return ok(isAccepted(document, accept, change) ? [] : makeList(document, accept, layout, entry));
    default:
      return notAnObject('metadata.afterclap.accept');
  }
}

type Json = string | readonly Json[] | { readonly [name: string]: Json };

function isAccepted(document: JsonDocument, first: number, change: Acceptance): boolean {
  for (let node = first; node !== -1; node = nextSibling(document, node)) {
    const code = member(document, node, 'code');
    const reason = member(document, node, 'reason');
    if (code !== -1 && reason !== -1 && stringOf(document, code) === change.code && stringOf(document, reason) === change.reason)
      return true;
  }
  return false;
}

/** A new last member of `object`, which stands `depth` levels below the clip's parent. */
function addMember(
  document: JsonDocument,
  object: number,
  depth: number,
  layout: Layout,
  name: string,
  value: Json,
): readonly TextEdit[] {
  const written = `${JSON.stringify(name)}:${layout.afterColon}${write(value, depth, layout)}`;
  return addInside(document, object, depth, layout, written);
}

/** A new last element of the acceptances, which stand three levels below the clip. */
function addElement(document: JsonDocument, array: number, layout: Layout, value: Json): readonly TextEdit[] {
  return addInside(document, array, 4, layout, write(value, 4, layout));
}

function addInside(
  document: JsonDocument,
  container: number,
  depth: number,
  layout: Layout,
  written: string,
): readonly TextEdit[] {
  const start = startOf(document, container);
  const end = endOf(document, container);
  const last = lastChild(document, container);
  if (last === -1) {
    const open = document.text.charAt(start);
    const close = open === '{' ? '}' : ']';
    const inside = layout.memberBreak === null ? written : `${lineBreak(layout, depth)}${written}${lineBreak(layout, depth - 1)}`;
    return [{ span: { start, end }, newText: `${open}${inside}${close}` }];
  }
  const lastValue = kindOf(document, container) === 'object' ? last + 1 : last;
  const after = endOf(document, lastValue);
  // A container on one line stays on one line, whatever is around it.
  const isOnOneLine = !/[\r\n]/.test(document.text.slice(start, startOf(document, last)));
  const separator = isOnOneLine || layout.memberBreak === null ? `,${layout.afterComma}` : `,${lineBreak(layout, depth)}`;
  const newText = isOnOneLine ? onOneLine(written) : written;
  return [{ span: { start: after, end: after }, newText: `${separator}${newText}` }];
}

function replaceValue(document: JsonDocument, node: number, depth: number, layout: Layout, value: Json): readonly TextEdit[] {
  return [
    {
      span: { start: startOf(document, node), end: endOf(document, node) },
      newText: write(value, depth, layout),
    },
  ];
}

/** The single acceptance that stands there becomes the first of a list; its own characters stay. */
function makeList(document: JsonDocument, node: number, layout: Layout, value: Json): readonly TextEdit[] {
  const start = startOf(document, node);
  const end = endOf(document, node);
  return [
    { span: { start, end: start }, newText: '[' },
    {
      span: { start: end, end },
      newText: `,${layout.afterComma}${onOneLine(write(value, 4, { ...layout, memberBreak: null }))}]`,
    },
  ];
}

/** `depth` is the level at which the value's name stands; its members stand one deeper. */
function write(value: Json, depth: number, layout: Layout): string {
  if (typeof value === 'string') return JSON.stringify(value);
  const isList = Array.isArray(value);
  const parts = isList
    ? value.map((element: Json) => write(element, depth + 1, layout))
    : Object.entries(value).map(
        ([name, inner]) => `${JSON.stringify(name)}:${layout.afterColon}${write(inner, depth + 1, layout)}`,
      );
  const inside =
    layout.memberBreak === null
      ? parts.join(`,${layout.afterComma}`)
      : `${lineBreak(layout, depth + 1)}${parts.join(`,${lineBreak(layout, depth + 1)}`)}${lineBreak(layout, depth)}`;
  return isList ? `[${inside}]` : `{${inside}}`;
}

/** Strings of JSON hold no line breaks, so every one of them is layout. */
function onOneLine(written: string): string {
  return written.replace(/(?<=[,])[\r\n]+[ \t]*/g, ' ').replace(/[\r\n]+[ \t]*/g, '');
}

function lineBreak(layout: Layout, depth: number): string {
  return layout.memberBreak === null ? '' : layout.memberBreak + layout.unit.repeat(Math.max(0, depth - 1));
}

/** `ownIndent` is the white space at the start of the object's line. */
function layoutOf(document: JsonDocument, object: number, ownIndent: string): Layout {
  const { text } = document;
  const first = firstChild(document, object);
  const start = startOf(document, object);
  const afterColon = first === -1 ? ' ' : colonBlank(text, endOf(document, first));
  const gap = first === -1 ? '' : text.slice(start + 1, startOf(document, first));
  const lineStart = /(\r\n|\n|\r)([ \t]*)$/.exec(gap);
  if (lineStart === null) return { memberBreak: null, unit: '', afterColon, afterComma: afterColon };
  const memberIndent = lineStart[2] as string;
  const unit =
    memberIndent.startsWith(ownIndent) && memberIndent.length > ownIndent.length ? memberIndent.slice(ownIndent.length) : '    ';
  return { memberBreak: `${lineStart[1]}${memberIndent}`, unit, afterColon, afterComma: ' ' };
}

function colonBlank(text: string, nameEnd: number): string {
  return /^\s*:([ \t]*)/.exec(text.slice(nameEnd, nameEnd + 8))?.[1] ?? ' ';
}

/** The white space at the start of the line that holds `offset`. */
function indentAt(text: string, offset: number): string {
  let start = offset;
  while (start > 0 && text.charCodeAt(start - 1) !== 10 && text.charCodeAt(start - 1) !== 13) start -= 1;
  return /^[ \t]*/.exec(text.slice(start, offset))?.[0] ?? '';
}

function lastChild(document: JsonDocument, container: number): number {
  let last = -1;
  for (let node = firstChild(document, container); node !== -1; node = nextSibling(document, node)) last = node;
  return last;
}

/** The object that starts at `offset`; -1 when none does. Starts rise along the tape, so this is a binary search. */
function objectAt(document: JsonDocument, offset: number): number {
  let low = 0;
  let high = document.nodeCount;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if (startOf(document, middle) < offset) low = middle + 1;
    else high = middle;
  }
  for (let node = low; node < document.nodeCount && startOf(document, node) === offset; node += 1) {
    if (kindOf(document, node) === 'object') return node;
  }
  return -1;
}

function shifted(edits: readonly TextEdit[], by: number): readonly TextEdit[] {
  return edits.map(({ span, newText }) => ({ span: { start: span.start + by, end: span.end + by }, newText }));
}

function notAnObject(what: string): EditResult {
  return {
    ok: false,
    reason: `${what} of this clip holds something else than an object, so an acceptance cannot be written there.`,
  };
}
