/**
 * Text of an SMPTE ST 2067-3 composition playlist to the neutral timeline.
 *
 * The way through the layers is that of the neutral XML, and so are its limits (`XML_LIMITS`): no document type, no entities
 * beyond the five predefined ones, no network, prefixes resolved, every problem on its own characters.
 */

import { createProblemLog } from '../../syntax/xml/problemLog.ts';
import { readElements } from '../../syntax/xml/readElements.ts';
import { XML_LIMITS, type XmlLimits } from '../../syntax/xml/xmlLimits.ts';
import type { Span } from '../../text/span.ts';
import type { Observation } from '../../timeline/model.ts';
import { createWrittenValues } from '../xml/writtenValues.ts';
import { buildCpl, type CplTimeline } from './buildCpl.ts';
import { collectCpl } from './cplDraft.ts';
import { isDigitalCinema } from './cplNamespaces.ts';
import { CPL_VOCABULARY } from './cplVocabulary.ts';

/** Namespaces stand in the first tag; this much of a text is looked at for it. */
const HEAD_LENGTH = 20_000;

/** Never throws, on any string. */
export function readCpl(
  text: string,
  assetNames: ReadonlyMap<string, string> | null,
  limits: XmlLimits = XML_LIMITS,
): CplTimeline {
  const log = createProblemLog<Observation>(text.length, limits.problems);
  const values = createWrittenValues(text, limits.digits, log);
  const cinema = digitalCinemaRoot(text);
  if (cinema !== null) {
    log.unreadable(
      cinema.start,
      cinema.end,
      'This is a composition playlist of digital cinema (SMPTE ST 429-7), which is not read: in it picture and sound are joined reel by reel already. Expected: one of SMPTE ST 2067-3.',
    );
    return buildCpl(text, null, values, log, assetNames);
  }
  const collector = collectCpl(text);
  readElements(text, CPL_VOCABULARY, collector, limits, log);
  return buildCpl(text, collector.draft(), values, log, assetNames);
}

/** The first tag, when its namespace is that of SMPTE ST 429-7. */
function digitalCinemaRoot(text: string): Span | null {
  const head = text.slice(0, HEAD_LENGTH);
  const tag = /<(?:[^\s<>:/]+:)?CompositionPlaylist\b[^<>]*>/.exec(head);
  if (tag === null) return null;
  const namespaces = [...tag[0].matchAll(/\bxmlns(?::[^\s=]+)?\s*=\s*(?:"([^"]*)"|'([^']*)')/g)];
  const isCinema = namespaces.some((match) => isDigitalCinema((match[1] ?? match[2] ?? '').trim()));
  return isCinema ? { start: tag.index, end: tag.index + tag[0].length } : null;
}
