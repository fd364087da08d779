/**
 * SMPTE ST 2067-3 composition playlists: read as a timeline, and slipped by the digits of `EntryPoint`.
 *
 * Counts are whole edit units, so a start can be written in steps of one unit. A signed playlist is never edited, and no
 * acceptance can be written into any: the schema has no place for one.
 */

import { ONE } from '../../time/rational.ts';
import type { Timeline } from '../../timeline/model.ts';
import type { Change, EditResult, TimelineFormat } from '../timelineFormat.ts';
import { xmlEdits } from '../xml/xmlEdits.ts';
import { readCpl } from './readCpl.ts';

export const cplFormat: TimelineFormat = {
  id: 'cpl',
  title: 'composition playlist',
  read: (text, { assetNames }) => readCpl(text, assetNames ?? null),
  editsFor: cplEdits,
  startStep: () => ONE,
};

function cplEdits(text: string, timeline: Timeline, change: Change): EditResult {
  if (isSigned(timeline)) {
    return refused(
      'This playlist is signed, and any change would break its signature. Change the cut where it was made, and export it again.',
    );
  }
  if (change.kind === 'accept') {
    return refused('A composition playlist has no place for an acceptance. Write it into afterclap.json, under "accept".');
  }
  if (change.kind === 'set-source-start') {
    const clip = timeline.clips[change.clip];
    if (clip !== undefined && clip.start === null) {
      return refused('This Resource has no readable EntryPoint to change. Write one, and SourceDuration with it.');
    }
    if (clip !== undefined && clip.length === null) {
      return refused(
        'This Resource has no SourceDuration: it lasts from its EntryPoint to the end of its file, so a slip would change its length. Write SourceDuration first.',
      );
    }
  }
  return xmlEdits(text, timeline, change);
}

function isSigned(timeline: Timeline): boolean {
  return 'signature' in timeline && timeline.signature !== null;
}

function refused(reason: string): EditResult {
  return { ok: false, reason };
}
