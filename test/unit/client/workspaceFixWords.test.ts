/**
 * The words around safe fixes in the whole workspace: counts that are right, and everything that is left as it is named.
 */

import { describe, expect, it } from 'vitest';
import { fixCautions, fixCounts, nothingToFix, type WorkspaceFixPlan } from '../../../client/src/workspaceFixWords.ts';

const timelines = [
  { name: 'reel1.otio', fixCount: 40 },
  { name: 'reel2.edl', fixCount: 1 },
];
const plan: WorkspaceFixPlan = { code: null, timelines, readOnly: [], unread: [], notUtf8: [] };

describe('the question', () => {
  it('counts fixes and timelines', () => {
    expect(fixCounts(plan)).toBe('41 safe fixes in 2 timelines');
    expect(fixCounts({ ...plan, code: 'sound-leads', timelines: timelines.slice(1) })).toBe(
      '1 safe fix for sound-leads in 1 timeline',
    );
  });

  it('says what to keep in mind, and whether anything is saved', () => {
    expect(fixCautions(plan, false)).toBe(
      'Keep the originals, and check by eye and ear. The texts are changed in the editor and left unsaved, so that you can look at them first.',
    );
    expect(fixCautions(plan, true)).toMatch(/The editor is set to save by itself, so the files are changed at once\.$/);
  });

  it('names what is left as it is', () => {
    expect(fixCautions({ ...plan, readOnly: timelines.slice(0, 1), unread: ['binary.otio'] }, false)).toMatch(
      / 1 timeline is read-only and stays as it is \(40 safe fixes\): reel1\.otio\. 1 timeline could not be read: binary\.otio\.$/,
    );
    expect(fixCautions({ ...plan, readOnly: timelines }, false)).toMatch(
      / 2 timelines are read-only and stay as they are \(41 safe fixes\): reel1\.otio, reel2\.edl\.$/,
    );
  });

  it('names what the editor would harm, and says how it can be fixed all the same', () => {
    expect(fixCautions({ ...plan, notUtf8: ['old.edl'] }, false)).toMatch(
      / 1 timeline is not in UTF-8 and stays as it is, .* letters with accents: old\.edl\. Open it with the right encoding first\.$/,
    );
    expect(nothingToFix({ ...plan, timelines: [], notUtf8: ['old.edl', 'older.edl'] })).toMatch(
      /^There is nothing in .* 2 timelines are not in UTF-8 and stay as they are, .*: old\.edl, older\.edl\. Open them /,
    );
  });

  it('names a few and counts the rest', () => {
    const unread = ['a', 'b', 'c', 'd', 'e', 'f', 'g'].map((stem) => `${stem}.edl`);
    expect(fixCautions({ ...plan, unread }, false)).toMatch(/: a\.edl, b\.edl, c\.edl, d\.edl, e\.edl and 2 more\.$/);
  });
});

describe('where nothing is to be fixed', () => {
  it('that is said, of the one code or of all', () => {
    const none = { ...plan, timelines: [] };
    expect(nothingToFix(none)).toBe('There is nothing in the timelines of the workspace that a safe fix could put right.');
    expect(nothingToFix({ ...none, code: 'sound-leads' })).toMatch(/^There is no sound-leads in the timelines /);
    expect(nothingToFix({ ...none, readOnly: timelines })).toMatch(
      /^There is nothing in .* workspace that can be written .*reel2\.edl\.$/,
    );
  });
});
