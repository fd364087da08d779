/**
 * OTIO JSON as a timeline format.
 */

import type { TimelineFormat } from '../timelineFormat.ts';
import { otioEditsFor } from './otioEdits.ts';
import { readOtio } from './readOtio.ts';
import { rereadOtio } from './rereadOtio.ts';

export const otioFormat: TimelineFormat = {
  id: 'otio',
  title: 'OTIO JSON',
  read: (text) => readOtio(text),
  reread: rereadOtio,
  editsFor: otioEditsFor,
  // OTIO values are decimals of any fineness; fractions of a frame are allowed on purpose.
  startStep: () => null,
};
