import { describe, expect, it } from 'vitest';
import { useSentence } from '../../../server/src/core/views/useSummary.ts';

describe('the use of an entry', () => {
  it.each([
    [{ clipCount: 4, timelineCount: 2, unseenCount: 0 }, 'Used by 4 clips in 2 timelines.'],
    [{ clipCount: 1, timelineCount: 1, unseenCount: 0 }, 'Used by 1 clip in 1 timeline.'],
    [{ clipCount: 0, timelineCount: 0, unseenCount: 0 }, 'No clip of this workspace uses it.'],
    [
      { clipCount: 4, timelineCount: 2, unseenCount: 30 },
      'Used by at least 4 clips in 2 timelines. 30 more files not looked into yet.',
    ],
    [{ clipCount: 0, timelineCount: 0, unseenCount: 1 }, 'Not used so far. 1 more file not looked into yet.'],
  ])('%o', (uses, sentence) => {
    expect(useSentence(uses)).toBe(sentence);
  });
});
