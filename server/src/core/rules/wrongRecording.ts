/**
 * wrong-recording: picture and sound cut alike, both in the report, but paired there with others.
 */

import { pairFor, pairsOfPicture, pairsOfSound } from '../alignment/lookup.ts';
import { listInWords } from '../text/words.ts';
import type { AuditContext } from './context.ts';
import { draft, type FindingDraft, type Rule } from './rule.ts';

export const wrongRecording: Rule = {
  code: 'wrong-recording',
  defaultSeverity: 'warning',
  documentation: {
    title: 'Sound of another recording',
    what: 'A picture and a sound clip are cut with the same in and out points, but the report pairs the picture with other recordings and the sound with other pictures.',
    why: 'They did not run at the same moment, so no slip can bring them together. It happens when the next take or another roll was picked from a list of alike names.',
    whatToDo:
      'Put the recording the report names under the picture. If the mix of the two is meant, accept the finding with a reason; if they did run together, add the pair to the report.',
    sources: ['common practice'],
  },
  check: wrongRecordingFindings,
};

function* wrongRecordingFindings(context: AuditContext): Generator<FindingDraft> {
  const { alignment } = context;
  for (const { picture, sound } of context.cutAlike()) {
    if (picture.picture === null || sound.sound === null) continue;
    if (pairFor(alignment, picture.picture, sound.sound) !== null) continue;
    const own = pairsOfPicture(alignment, picture.picture);
    const others = pairsOfSound(alignment, sound.sound);
    if (own.length === 0 || others.length === 0) continue;
    yield draft({
      message: `${sound.sound.key} did not run with ${picture.picture.key}: the report pairs ${picture.picture.key} with ${listInWords(own.map((pair) => pair.sound.key))}, and ${sound.sound.key} with ${listInWords(others.map((pair) => pair.picture.key))}. Likely cause: the wrong take or roll was picked. Put ${listInWords(own.map((pair) => pair.sound.key))} under this picture, or add the pair to the report if they did run together.`,
      place: {
        file: null,
        span: sound.clip.media.urlSpan ?? sound.clip.media.nameSpan ?? sound.clip.nameSpan ?? sound.clip.span,
      },
      related: [
        {
          file: null,
          span: picture.clip.media.urlSpan ?? picture.clip.nameSpan ?? picture.clip.span,
          message: `the picture: '${picture.clip.name}' (${picture.picture.key})`,
        },
        ...own.map((pair) => ({ file: pair.file, span: pair.span, message: `the report pairs it with ${pair.sound.key}` })),
      ],
      picture: picture.picture.key,
      sound: sound.sound.key,
      clips: [sound.clip.index, picture.clip.index],
    });
  }
}
