/**
 * Timelines as tests: where each stands in the tree, and what a check makes of it. 'Passed' is said only of a cut that was compared.
 */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type ListedTimeline, type TreeNode, timelineTree } from '../../../client/src/tests/timelineTree.ts';
import {
  checkLines,
  FAILING,
  headline,
  outcomeOf,
  runLine,
  type TestFinding,
  unreadLine,
} from '../../../client/src/tests/timelineVerdict.ts';
import { CHECK_FLAGS, checkOptions } from '../../../server/src/cli/checkOptions.ts';
import { parseFlags } from '../../../server/src/cli/flags.ts';

const listed = (root: string, path: string): ListedTimeline => ({
  id: `file:///${root}/${path.split('/').map(encodeURIComponent).join('/')}`,
  root: `file:///${root}`,
  rootLabel: root,
  path: path.split('/'),
});

/** One line for each node, two blanks deeper than its folder. */
function drawn(nodes: readonly TreeNode[], indent = ''): readonly string[] {
  return nodes.flatMap((node) => [
    `${indent}${node.label}`,
    ...(node.kind === 'folder' ? drawn(node.children, `${indent}  `) : []),
  ]);
}

function allOf(nodes: readonly TreeNode[]): readonly TreeNode[] {
  return nodes.flatMap((node) => [node, ...(node.kind === 'folder' ? allOf(node.children) : [])]);
}

describe('the tree of timelines', () => {
  it('of one folder begins with what is in it, folders first', () => {
    const tree = timelineTree(
      [listed('shoot', 'cut.edl'), listed('shoot', 'reels/one.otio'), listed('shoot', 'reels/two.otio')],
      false,
    );
    expect(drawn(tree)).toEqual(['reels', '  one.otio', '  two.otio', 'cut.edl']);
  });

  it('of several folders has a line for each, also where only one of them holds a timeline', () => {
    const both = [listed('day1', 'cut.edl'), listed('day2', 'cut.edl')];
    expect(drawn(timelineTree(both, true))).toEqual(['day1', '  cut.edl', 'day2', '  cut.edl']);
    expect(drawn(timelineTree(both.slice(0, 1), true))).toEqual(['day1', '  cut.edl']);
  });

  it('puts folders that hold one folder and nothing else on its line', () => {
    const deep = [listed('shoot', 'out/reels/one/a.edl'), listed('shoot', 'out/reels/two/v2/b.edl')];
    expect(drawn(timelineTree(deep, false))).toEqual(['out/reels', '  one', '    a.edl', '  two/v2', '    b.edl']);
    const [first] = deep;
    expect(drawn(timelineTree(first === undefined ? [] : [first], false))).toEqual(['out/reels/one', '  a.edl']);
  });

  it('keeps the line of a folder that holds a timeline and one folder', () => {
    expect(drawn(timelineTree([listed('shoot', 'a/cut.edl'), listed('shoot', 'a/b/cut.edl')], false))).toEqual([
      'a',
      '  b',
      '    cut.edl',
      '  cut.edl',
    ]);
  });

  it('is empty where there is nothing', () => {
    expect(timelineTree([], true)).toEqual([]);
  });

  it('has every timeline once, and no two lines of one name, whatever the folders are called', () => {
    // Names that begin like others, one that every object has, and one that is another's in an address.
    const name = fc.constantFrom('a', 'b', 'a.edl', 'constructor', '__proto__', 'a b', 'a%20b.otio');
    const file = fc.tuple(fc.constantFrom('day1', 'day2'), fc.array(name, { minLength: 1, maxLength: 4 }));
    fc.assert(
      fc.property(fc.array(file, { maxLength: 12 }), fc.boolean(), (files, hasSeveralRoots) => {
        const timelines = new Map(
          files.map(([root, path]) => [`${root}/${path.join('/')}.otio`, listed(root, `${path.join('/')}.otio`)]),
        );
        const nodes = allOf(timelineTree([...timelines.values()], hasSeveralRoots));
        const ids = nodes.map(({ id }) => id);
        expect(new Set(ids).size).toBe(ids.length);
        const shown = nodes.filter(({ kind }) => kind === 'timeline').map(({ id }) => id);
        expect(shown.toSorted()).toEqual([...timelines.values()].map(({ id }) => id).toSorted());
      }),
    );
  });
});

const COMPARED = { clipCount: 8, comparisonCount: 4, unreadableCount: 0 };
const finding = (severity: TestFinding['severity']): TestFinding => ({
  severity,
  code: 'sound-leads',
  message: 'Sound deck-01 leads by 41.7 ms.',
  line: 20,
  column: 41,
});

describe('a timeline as a test', () => {
  it('fails by what fails on the command line by itself', () => {
    expect(checkOptions(parseFlags(['cut.edl'], CHECK_FLAGS, 'check')).failOn).toBe(FAILING);
    expect(outcomeOf(COMPARED, [finding('information'), finding('error')])).toBe('failed');
  });

  it('passes when it was compared and nothing of that severity was found', () => {
    expect(outcomeOf(COMPARED, [])).toBe('passed');
    expect(outcomeOf(COMPARED, [finding('warning'), finding('information')])).toBe('passed');
  });

  it('does not pass when nothing was compared, whatever else is well', () => {
    for (const counts of [{ clipCount: 8 }, { clipCount: 0 }]) {
      expect(outcomeOf({ ...COMPARED, comparisonCount: 0, ...counts }, [finding('information')])).toBe('skipped');
    }
    expect(outcomeOf({ ...COMPARED, comparisonCount: 0 }, [finding('error')])).toBe('failed');
  });

  it('fails when it can be read in part, and is an error when it can not be read at all', () => {
    const unread = { ...COMPARED, unreadableCount: 1 };
    expect(outcomeOf(unread, [finding('error')])).toBe('failed');
    expect(outcomeOf({ ...unread, clipCount: 0, comparisonCount: 0 }, [finding('error')])).toBe('errored');
  });
});

describe('what a person reads of it', () => {
  const checked = {
    path: 'reels/cut.edl',
    summary: '3 in, 1 leads',
    reportReason: 'day1.alignment.json is used: the only report in the folder.',
    acceptedCount: 0,
    findings: [finding('error')],
  };

  it('begins with what became of the comparisons, and names report and findings with their places', () => {
    expect(checkLines({ ...checked, outcome: 'failed' })).toEqual([
      'reels/cut.edl: failed: 3 in, 1 leads',
      '  day1.alignment.json is used: the only report in the folder.',
      '  reels/cut.edl:20:41: error sound-leads: Sound deck-01 leads by 41.7 ms.',
    ]);
    const [first] = checkLines({ ...checked, outcome: 'passed', summary: '4 in', acceptedCount: 2, findings: [] });
    expect(first).toBe('reels/cut.edl: passed: 4 in, 2 accepted');
  });

  it('says that nothing was compared, also where something was left unmeasured', () => {
    const nothing = { ...checked, outcome: 'skipped', findings: [] } as const;
    const lines = (summary: string): string | undefined => checkLines({ ...nothing, summary })[0];
    expect(lines('nothing compared: no alignment report')).toBe('reels/cut.edl: nothing compared: no alignment report');
    expect(lines('2 unmeasured')).toBe('reels/cut.edl: nothing compared: 2 unmeasured');
    expect(headline({ outcome: 'errored', summary: 'nothing compared' })).toBe("this text can't be read as a timeline");
  });

  it('shows a name that would clear the terminal as signs, on one line', () => {
    const message = 'Sound \u001b[2J\nleads.';
    const lines = checkLines({ ...checked, outcome: 'failed', findings: [{ ...finding('error'), message }] });
    expect(lines.at(-1)).toBe('  reels/cut.edl:20:41: error sound-leads: Sound \u241b[2J\u240aleads.');
    expect(unreadLine('a\u001b.edl', 'is a folder, not a file')).toBe('a\u241b.edl: not read: the file is a folder, not a file');
  });

  it('counts a run by what became of its timelines', () => {
    expect(runLine(['failed', 'passed', 'skipped', 'passed', 'errored'])).toBe(
      '5 timelines: 2 passed, 1 failed, 1 not compared, 1 not read',
    );
    expect(runLine(['skipped'])).toBe('1 timeline: 1 not compared');
  });
});
