/**
 * The formats Afterclap reads, and which one a file is by its name.
 */

import type { FormatId } from '../timeline/model.ts';
import { cplFormat } from './cpl/cplFormat.ts';
import { edlFormat } from './edl/edlFormat.ts';
import { otioFormat } from './otio/otioFormat.ts';
import type { TimelineFormat } from './timelineFormat.ts';
import { xmlFormat } from './xml/xmlFormat.ts';

const FORMATS: Readonly<Record<FormatId, TimelineFormat>> = {
  otio: otioFormat,
  xml: xmlFormat,
  edl: edlFormat,
  cpl: cplFormat,
};

export function formatFor(id: FormatId): TimelineFormat {
  return FORMATS[id];
}

/** The format of a timeline file by its name; null when the name is not a timeline's. Case does not matter. */
export function formatOfFileName(fileName: string): FormatId | null {
  const name = fileName.toLowerCase();
  if (name.endsWith('.otio')) return 'otio';
  if (name.endsWith('.timeline.xml')) return 'xml';
  if (name.endsWith('.edl')) return 'edl';
  return name.endsWith('.cpl.xml') || isPackageName(fileName) ? 'cpl' : null;
}

/** What a text of XML is by its first element: a composition playlist, or else taken for neutral timeline XML. */
export function formatOfXmlText(text: string): FormatId {
  let at = text.charCodeAt(0) === 0xfeff ? 1 : 0;
  for (;;) {
    while (at < text.length && text.charCodeAt(at) <= 32) at += 1;
    const end = text.startsWith('<?', at) ? '?>' : text.startsWith('<!--', at) ? '-->' : null;
    const close = end === null ? -1 : text.indexOf(end, at + 2);
    if (end === null || close === -1) break;
    at = close + end.length;
  }
  const first = /^<(?:[^\s<>:/]{1,100}:)?([^\s<>:/]{1,100})/.exec(text.slice(at, at + 250));
  return first?.[1] === 'CompositionPlaylist' ? 'cpl' : 'xml';
}

/** `CPL_....xml` as in delivered packages. A word that merely begins with these letters, such as cplayer.xml, is no playlist. */
function isPackageName(fileName: string): boolean {
  return /\.xml$/i.test(fileName) && (fileName.startsWith('CPL') || /^cpl(?![a-z])/i.test(fileName));
}
