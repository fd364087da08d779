/**
 * Writing an acceptance into a clip: `<Accept code="...">reason</Accept>` in its Metadata, laid out as the file is.
 *
 * Only the clip and the start tags around it are read again (they bind its namespace prefixes), so the cost does not grow
 * with the timeline.
 */

import { tagStop } from '../../syntax/xml/prepareXml.ts';
import { createProblemLog } from '../../syntax/xml/problemLog.ts';
import { readElements } from '../../syntax/xml/readElements.ts';
import { XML_LIMITS } from '../../syntax/xml/xmlLimits.ts';
import { decodeXmlText, escapeXmlText, trimSpan } from '../../syntax/xml/xmlText.ts';
import type { Clip, OutlineNode, Timeline } from '../../timeline/model.ts';
import type { EditResult } from '../timelineFormat.ts';
import { Element, TIMELINE_VOCABULARY } from './timelineVocabulary.ts';

const CODE = /^[a-z]+(?:-[a-z]+)*$/;
const DEFAULT_STEP = '  ';

export function acceptEdits(text: string, timeline: Timeline, index: number, code: string, reason: string): EditResult {
  const clip = timeline.clips[index];
  if (clip === undefined) return { ok: false, reason: 'There is no such clip.' };
  if (!CODE.test(code)) return { ok: false, reason: `'${code}' is no finding code.` };
  const cleaned = reason.replace(/\s+/g, ' ').trim();
  if (cleaned === '') return { ok: false, reason: 'An acceptance needs a reason.' };
  const layout = readLayout(text, timeline, clip);
  if (layout === null) return { ok: false, reason: 'The clip cannot be found in the text any more.' };
  if (layout.codes.includes(code)) return { ok: false, reason: `The clip already accepts ${code}.` };

  const { metadata } = layout;
  const prefix = prefixAt(text, (metadata ?? layout.clip).start);
  const accept = `<${prefix}Accept code="${code}">${escapeXmlText(cleaned)}</${prefix}Accept>`;
  const breakAndIndent = lineStyle(text, layout.clip, layout.firstChild);
  if (metadata === null) {
    const at = trimSpan(text, layout.clip.contentStart, layout.clip.contentEnd).end;
    const open = `${breakAndIndent(1)}<${prefix}Metadata>`;
    return insertion(at, `${open}${breakAndIndent(2)}${accept}${breakAndIndent(1)}</${prefix}Metadata>`);
  }
  if (text.charAt(metadata.contentStart - 2) === '/') {
    const newText = `>${breakAndIndent(2)}${accept}${breakAndIndent(1)}</${prefix}Metadata>`;
    return { ok: true, edits: [{ span: { start: metadata.contentStart - 2, end: metadata.contentStart }, newText }] };
  }
  const content = trimSpan(text, metadata.contentStart, metadata.contentEnd);
  if (content.start === content.end) {
    // Empty: what stands before the end tag now will still stand before it.
    const isOneLine = metadata.contentStart === metadata.contentEnd;
    return insertion(metadata.contentStart, `${breakAndIndent(2)}${accept}${isOneLine ? breakAndIndent(1) : ''}`);
  }
  const own = leadingBreak(text, content.start);
  return insertion(content.end, `${own ?? ''}${accept}`);
}

interface Place {
  readonly start: number;
  readonly contentStart: number;
  readonly contentEnd: number;
}

interface Layout {
  readonly clip: Place;
  readonly firstChild: number | null;
  readonly metadata: Place | null;
  /** Codes the clip accepts already. */
  readonly codes: readonly string[];
}

/** The clip's own parts, at their offsets in `text`. */
function readLayout(text: string, timeline: Timeline, clip: Clip): Layout | null {
  const around = ancestorsOf(timeline, clip).map((node) => {
    const stop = tagStop(text, node.span.start + 1);
    return text.slice(node.span.start, stop + 1);
  });
  const head = around.join('');
  const shift = clip.span.start - head.length;
  const fragment = head + text.slice(clip.span.start, clip.span.end);
  let place: Place | null = null;
  let metadata: Place | null = null;
  let firstChild: number | null = null;
  const codes: string[] = [];
  readElements(
    fragment,
    TIMELINE_VOCABULARY,
    {
      open: (code, parent, start, _contentStart, attributes) => {
        if (parent === Element.Clip) firstChild ??= start + shift;
        if (code !== Element.Accept) return;
        const attribute = attributes.find(({ name }) => name === 'code');
        if (attribute !== undefined)
          codes.push(decodeXmlText(fragment.slice(attribute.valueSpan.start, attribute.valueSpan.end)).trim());
      },
      close: (code, _parent, start, contentStart, contentEnd) => {
        const found = { start: start + shift, contentStart: contentStart + shift, contentEnd: contentEnd + shift };
        if (code === Element.Metadata) metadata = found;
        if (code === Element.Clip) place = found;
      },
      leftOut: () => {},
    },
    XML_LIMITS,
    createProblemLog(fragment.length, 1000),
  );
  return place === null ? null : { clip: place, firstChild, metadata, codes };
}

/** The timeline, stack and track around a clip. */
function ancestorsOf(timeline: Timeline, clip: Clip): readonly OutlineNode[] {
  const root = timeline.outline[0];
  if (root === undefined) return [];
  const stack = root.children.find((node) => node.kind === 'stack');
  const tracks = (stack ?? root).children.filter((node) => node.kind === 'track');
  const track = tracks[clip.track];
  return [root, stack, track].filter((node) => node !== undefined);
}

function prefixAt(text: string, start: number): string {
  return /^<([^\s<>:/]+:)?/.exec(text.slice(start, start + 200))?.[1] ?? '';
}

/** The line break and indentation of a line `level` steps inside the clip; nothing when the clip stands on one line. */
function lineStyle(text: string, clip: Place, firstChild: number | null): (level: 1 | 2) => string {
  const child = firstChild === null ? null : leadingBreak(text, firstChild);
  if (child === null) return () => '';
  const lineBreak = /^(?:\r\n|\r|\n)/.exec(child)?.[0] ?? '\n';
  const childIndent = child.slice(lineBreak.length);
  const clipIndent = leadingBreak(text, clip.start)?.replace(/^[\r\n]+/, '') ?? '';
  const isDeeper = childIndent.length > clipIndent.length && childIndent.startsWith(clipIndent);
  const step = isDeeper ? childIndent.slice(clipIndent.length) : DEFAULT_STEP;
  return (level) => `${lineBreak}${childIndent}${level === 2 ? step : ''}`;
}

/** The line break and white space in front of `offset`; null when something else stands before it on its line. */
function leadingBreak(text: string, offset: number): string | null {
  let start = offset;
  while (start > 0 && (text[start - 1] === ' ' || text[start - 1] === '\t')) start -= 1;
  if (text[start - 1] === '\n') return text.slice(text[start - 2] === '\r' ? start - 2 : start - 1, offset);
  return text[start - 1] === '\r' ? text.slice(start - 1, offset) : null;
}

function insertion(at: number, newText: string): EditResult {
  return { ok: true, edits: [{ span: { start: at, end: at }, newText }] };
}
