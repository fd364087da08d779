import { describe, expect, it } from 'vitest';
import { describeClips, describeObservations, list, messagesOf, readList } from './lists.ts';

const picture = '001  CAM_A V C 01:00:00:00 01:00:04:00 00:00:00:00 00:00:04:00';
const soundLater = '001  CAM_A A C 01:00:02:00 01:00:04:00 00:00:02:00 00:00:04:00';

describe('split edits', () => {
  // AUDIO DELAY: sound is cut in that much later than picture; VIDEO DELAY the other way (common practice).
  it('carry their times on their own lines, so a SPLIT that agrees says nothing', () => {
    const timeline = readList(list('SPLIT:    AUDIO DELAY=  00:00:02:00', picture, soundLater));
    expect(describeClips(timeline)).toEqual(['V CAM_A record 0-96 source 86400', 'A1 CAM_A record 48-96 source 86448']);
    expect(timeline.observations).toEqual([]);
  });

  it('in the other direction, in the other order', () => {
    const sound = soundLater.replace(' A ', ' X ').replace(' X ', ' V ');
    const earlyPicture = picture.replace(' V ', ' AA ');
    expect(readList(list('SPLIT:    VIDEO DELAY=  00:00:02:00', earlyPicture, sound)).observations).toEqual([]);
  });

  it('without SPLIT are two events, as newer lists have them', () => {
    expect(readList(list(picture, soundLater)).observations).toEqual([]);
  });

  it('that contradict their SPLIT are said', () => {
    const timeline = readList(list('SPLIT:    AUDIO DELAY=  00:00:01:00', picture, soundLater));
    expect(messagesOf(timeline, 'note')).toEqual([
      'SPLIT says sound is cut in 24 frames after picture, the lines below say 48 frames after picture; the lines are believed.',
    ]);
  });

  it('that lack one of their lines are said', () => {
    expect(messagesOf(readList(list('SPLIT:    AUDIO DELAY=  00:00:02:00', picture)), 'note')).toEqual([
      expect.stringContaining('these two do not follow here'),
    ]);
  });

  it('that cannot be read are said', () => {
    const text = list('SPLIT:    LATER', picture, soundLater);
    expect(describeObservations(text, readList(text))).toEqual(["unreadable 'SPLIT:    LATER'"]);
  });
});
