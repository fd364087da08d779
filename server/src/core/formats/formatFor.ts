/**
 * The formats Afterclap reads, and which one a file is by its name.
 */

import type { FormatId } from '../timeline/model.ts';
import { edlFormat } from './edl/edlFormat.ts';
import { otioFormat } from './otio/otioFormat.ts';
import type { TimelineFormat } from './timelineFormat.ts';
import { xmlFormat } from './xml/xmlFormat.ts';

const FORMATS: Readonly<Record<FormatId, TimelineFormat>> = { otio: otioFormat, xml: xmlFormat, edl: edlFormat };

export function formatFor(id: FormatId): TimelineFormat {
  return FORMATS[id];
}

/** The format of a timeline file by its name; null when the name is not a timeline's. Case does not matter. */
export function formatOfFileName(fileName: string): FormatId | null {
  const name = fileName.toLowerCase();
  if (name.endsWith('.otio')) return 'otio';
  if (name.endsWith('.timeline.xml')) return 'xml';
  return name.endsWith('.edl') ? 'edl' : null;
}
