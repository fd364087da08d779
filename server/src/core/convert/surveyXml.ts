/**
 * What neutral timeline XML holds beyond the neutral timeline: elements and attributes of other namespaces, comments, media that no
 * clip uses.
 */

import { Element, TIMELINE_VOCABULARY } from '../formats/xml/timelineVocabulary.ts';
import { createProblemLog } from '../syntax/xml/problemLog.ts';
import { readElements } from '../syntax/xml/readElements.ts';
import type { XmlAttribute } from '../syntax/xml/tagAttributes.ts';
import { XML_LIMITS } from '../syntax/xml/xmlLimits.ts';
import { decodeXmlText } from '../syntax/xml/xmlText.ts';
import type { Timeline } from '../timeline/model.ts';
import type { LossLog } from './loss.ts';

const COMMENT = /<!--([\s\S]*?)-->|<\?(?!xml[\s?])([\s\S]*?)\?>/g;

export function surveyXml(text: string, timeline: Timeline, log: LossLog): void {
  const clips = new Map(timeline.clips.map((clip) => [clip.span.start, clip.index]));
  const media = new Map<string, { readonly start: number; readonly end: number }>();
  const used = new Set<string>();
  let clip: number | null = null;
  let reference: { readonly start: number; readonly end: number } | null = null;
  readElements(
    text,
    TIMELINE_VOCABULARY,
    {
      open: (code, _parent, start, contentStart, attributes) => {
        if (code === Element.Clip) clip = clips.get(start) ?? null;
        if (code === Element.ExternalReference) reference = { start, end: contentStart };
        tellAttributes(attributes, clip, log);
      },
      close: (code, parent, _start, contentStart, contentEnd) => {
        const value = (): string => decodeXmlText(text.slice(contentStart, contentEnd)).replace(/\s+/g, ' ').trim();
        if (code === Element.Id && parent === Element.ExternalReference && reference !== null) media.set(value(), reference);
        if (code === Element.TrackFileId) used.add(value());
        if (code === Element.Clip) clip = null;
      },
      leftOut: () => {},
      foreign: (_parent, start, contentStart) => {
        const name = /^<([^\s<>/]+)/.exec(text.slice(start, Math.min(contentStart, start + 200)))?.[1] ?? '';
        const message = `${clip === null ? 'The file' : 'It'} holds an element of another namespace, ${name}. It is left out.`;
        log.tell({ kind: 'metadata', message, clip, track: null, span: { start, end: contentStart } });
      },
    },
    XML_LIMITS,
    // What cannot be read has been told by the reader.
    createProblemLog(text.length, 0),
  );
  for (const [id, span] of media) {
    if (!used.has(id))
      log.tell({ kind: 'media', message: `No clip uses the media '${id}'. It is left out.`, clip: null, track: null, span });
  }
  tellComments(text, log);
}

/** Comments and processing instructions of an XML text. */
export function tellComments(text: string, log: LossLog): void {
  for (const match of text.matchAll(COMMENT)) {
    const content = (match[1] ?? match[2] ?? '').replace(/\s+/g, ' ').trim();
    const shown = content.length > 60 ? `${content.slice(0, 59)}…` : content;
    const message = `A comment or instruction, '${shown}', is left out.`;
    log.tell({
      kind: 'comment',
      message,
      clip: null,
      track: null,
      span: { start: match.index, end: match.index + match[0].length },
    });
  }
}

function tellAttributes(attributes: readonly XmlAttribute[], clip: number | null, log: LossLog): void {
  for (const { name, span } of attributes) {
    const isForeign = name.includes(':') && !name.startsWith('xmlns:');
    if (isForeign)
      log.tell({
        kind: 'metadata',
        message: `An attribute of another namespace, ${name}, is left out.`,
        clip,
        track: null,
        span,
      });
  }
}
