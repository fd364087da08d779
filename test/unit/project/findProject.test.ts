import { describe, expect, it } from 'vitest';
import { textOf } from '../../../server/src/core/text/span.ts';
import { noFileSystem } from '../../../server/src/project/fileSystem.ts';
import { findProject, isAffectedBy, type Project, type ProjectOptions } from '../../../server/src/project/findProject.ts';
import { fakeFileSystem } from './fakeFileSystem.ts';

const REPORT = '{ "alignment": 1, "pictures": {}, "sounds": {}, "pairs": [] }';

function projectOf(
  files: Record<string, string>,
  timeline = '/shoot/cuts/reel1.otio',
  options: ProjectOptions = {},
): Promise<Project> {
  return findProject(fakeFileSystem(files), timeline, options);
}

describe('the report of a timeline', () => {
  it('is what the settings name, from where the settings stand', async () => {
    const project = await projectOf({
      '/shoot/afterclap.json': '{ "alignment": ["sync/day1.alignment.json", "day2.alignment.json"] }',
      '/shoot/sync/day1.alignment.json': REPORT,
      '/shoot/day2.alignment.json': REPORT,
      '/shoot/cuts/reel1.alignment.json': REPORT,
    });
    expect(project.reports.map(({ path, report }) => [path, report.file])).toEqual([
      ['/shoot/sync/day1.alignment.json', '../sync/day1.alignment.json'],
      ['/shoot/day2.alignment.json', '../day2.alignment.json'],
    ]);
    expect(project.reason).toBe('../sync/day1.alignment.json, ../day2.alignment.json are used: named in ../afterclap.json.');
    expect(project.settings.file).toBe('../afterclap.json');
    expect(project.settingsFile?.path).toBe('/shoot/afterclap.json');
    expect(project.settings.problems).toEqual([]);
  });

  it('else stands beside it with its name', async () => {
    for (const timeline of ['/shoot/reel1.otio', '/shoot/reel1.edl', '/shoot/reel1.timeline.xml', '/shoot/reel1.xml']) {
      const files = { '/shoot/reel1.alignment.json': REPORT, '/shoot/day1.alignment.json': REPORT };
      const project = await projectOf(files, timeline);
      expect(project.reason).toBe('reel1.alignment.json is used: it stands beside the timeline and has its name.');
    }
  });

  it('else is the only one in its folder', async () => {
    const project = await projectOf({ '/shoot/cuts/day1.alignment.json': REPORT, '/shoot/day2.alignment.json': REPORT });
    expect(project.reason).toBe("day1.alignment.json is used: the only report in the timeline's folder.");
    expect(project.reports.map(({ path }) => path)).toEqual(['/shoot/cuts/day1.alignment.json']);
  });

  it('else is the only one in the next folder up that has any', async () => {
    const project = await projectOf(
      { '/shoot/Day1.Alignment.JSON': REPORT, '/other.alignment.json': REPORT },
      '/shoot/a/b/reel1.otio',
    );
    expect(project.reason).toBe('../../Day1.Alignment.JSON is used: the only report in the next folder up that has any.');
  });

  it('is searched as well when the settings name none', async () => {
    const project = await projectOf({
      '/shoot/afterclap.json': '{ "tolerance": "ebu-r37" }',
      '/shoot/cuts/day1.alignment.json': REPORT,
    });
    expect(project.reports).toHaveLength(1);
    expect(project.settings.tolerance.name).toBe('ebu-r37');
  });

  it('is the one named by hand, and nothing is searched', async () => {
    const files = fakeFileSystem({
      '/shoot/afterclap.json': '{ "alignment": ["gone.alignment.json"] }',
      '/else/day3.alignment.json': REPORT,
    });
    const project = await findProject(files, '/shoot/reel1.otio', { reports: ['/else/day3.alignment.json'], base: '/else' });
    expect(project.reason).toBe('day3.alignment.json is used: named on the command line.');
    expect(project.settings.problems).toEqual([]);
    expect(files.calls.filter((call) => call.startsWith('list'))).toEqual([]);
  });
});

describe('no report', () => {
  it('is used when there are two and nothing says which', async () => {
    const project = await projectOf({
      '/shoot/cuts/day10.alignment.json': REPORT,
      '/shoot/cuts/day9.alignment.json': REPORT,
      '/shoot/day1.alignment.json': REPORT,
    });
    expect(project.reports).toEqual([]);
    expect(project.reason).toBe(
      'No report is used: there are 2 (day9.alignment.json, day10.alignment.json) and none is called reel1.alignment.json. Name the right one in afterclap.json, as in { "alignment": ["day10.alignment.json"] }.',
    );
  });

  it('is chosen between two in silence: it is a problem too, so that no check passes for done', async () => {
    const files = { '/shoot/day1.alignment.json': REPORT, '/shoot/day2.alignment.json': REPORT };
    const project = await projectOf(files, '/shoot/reel1.otio');
    expect(project.problems).toMatchObject([{ file: 'reel1.otio', severity: 'warning', message: project.reason }]);
    // A report or settings file is no timeline: nothing has to be chosen for it.
    for (const path of ['/shoot/day1.alignment.json', '/shoot/afterclap.json']) {
      const other = await projectOf(files, path);
      expect([other.reports, other.problems]).toEqual([[], []]);
      expect(other.reason).toMatch(/^No report is used: this is/);
    }
  });

  it('is used when there is none, and says so', async () => {
    const project = await projectOf({});
    expect(project.reports).toEqual([]);
    expect(project.problems).toEqual([]);
    expect(project.reason).toMatch(
      /^No report is used: no file \*\.alignment\.json stands in the timeline's folder or above, and no afterclap\.json names one\. Measure the recordings, or put their report beside the timeline\.$/,
    );
  });

  it('says which folders could not be looked into', async () => {
    const project = await findProject(fakeFileSystem({}, ['/shoot']), '/shoot/cuts/reel1.otio');
    expect(project.reason).toMatch(/Not looked into: \/shoot can't be read: permission denied\./);
  });

  it('is used when the settings say so', async () => {
    const project = await projectOf({
      '/shoot/afterclap.json': '{ "alignment": [] }',
      '/shoot/cuts/reel1.alignment.json': REPORT,
    });
    expect(project.reason).toBe('No report is used: "alignment" in ../afterclap.json names none.');
  });

  it('belongs to a timeline that is not saved', async () => {
    const project = await findProject(noFileSystem, 'untitled:Untitled-1');
    expect(project.reason).toMatch(/a timeline that is not saved has no folder to look in/);
  });
});

describe('a report that is not there', () => {
  it('is told on the characters that name it', async () => {
    const settings = '{ "alignment": ["day1.alignment.json", "day2.alignment.json"] }';
    const project = await projectOf({ '/shoot/afterclap.json': settings, '/shoot/day2.alignment.json': REPORT });
    expect(project.reports.map(({ report }) => report.file)).toEqual(['../day2.alignment.json']);
    expect(
      project.settings.problems.map(({ file, span, severity, message }) => [file, textOf(settings, span), severity, message]),
    ).toEqual([
      [
        '../afterclap.json',
        '"day1.alignment.json"',
        'error',
        'The alignment report day1.alignment.json is not there. Did you mean day2.alignment.json?',
      ],
    ]);
  });

  it('and resembles none that is, is told without a guess', async () => {
    const project = await projectOf({
      '/shoot/afterclap.json': '{ "alignment": ["sync/wedding.alignment.json"] }',
      '/shoot/sync/day2.alignment.json': REPORT,
    });
    expect(project.settings.problems.map(({ message }) => message)).toEqual([
      'The alignment report sync/wedding.alignment.json is not there.',
    ]);
  });

  it('is told in text order with what else is wrong', async () => {
    const settings = '{ "grid": "half", "alignment": ["gone.alignment.json"], "colour": 1 }';
    const { settings: read } = await projectOf({ '/shoot/afterclap.json': settings });
    expect(read.problems.map(({ span }) => textOf(settings, span))).toEqual(['"half"', '"gone.alignment.json"', '"colour"']);
  });

  it('or can not be read, is told with the reason', async () => {
    const beside = await projectOf({ '/shoot/cuts/reel1.alignment.json': '!is a folder, not a file' });
    expect(beside.problems).toMatchObject([
      {
        file: 'reel1.alignment.json',
        severity: 'error',
        message: 'The alignment report reel1.alignment.json is a folder, not a file.',
      },
    ]);
    expect(beside.reason).toBe('No report is used: reel1.alignment.json is a folder, not a file.');
    const byHand = await projectOf({}, '/shoot/reel1.otio', { reports: ['gone.alignment.json'] });
    expect(byHand.problems).toMatchObject([{ message: 'The alignment report gone.alignment.json is not there.' }]);
  });
});

describe('the settings of a timeline', () => {
  it('are the nearest upwards', async () => {
    const project = await projectOf({ '/afterclap.json': '{ "grid": "1f" }', '/shoot/afterclap.json': '{ "grid": "sample" }' });
    expect(project.settings.grid).toBe('sample');
  });

  it('that can not be read are told, and none further up takes their place', async () => {
    const project = await projectOf({
      '/shoot/afterclap.json': "!can't be read: permission denied",
      '/afterclap.json': '{ "grid": "sample" }',
    });
    expect(project.settings.grid).toBeNull();
    expect(project.problems).toMatchObject([
      { message: "The settings file ../afterclap.json can't be read: permission denied. The defaults hold." },
    ]);
  });

  it('are not searched above the top folder', async () => {
    const files = fakeFileSystem({ '/afterclap.json': '{}', '/day1.alignment.json': REPORT });
    const project = await findProject(files, '/shoot/cuts/reel1.otio', { topFolder: '/shoot' });
    expect(project.settingsFile).toBeNull();
    expect(project.reports).toEqual([]);
    expect(files.calls).toEqual([
      'readText /shoot/cuts/afterclap.json',
      'readText /shoot/afterclap.json',
      'readText /shoot/cuts/reel1.alignment.json',
      'list /shoot/cuts',
      'list /shoot',
    ]);
  });
});

describe('in an editor', () => {
  it('URIs stay URIs, and people see plain paths', async () => {
    const project = await findProject(
      fakeFileSystem({
        'file:///shoot/afterclap.json': '{ "alignment": ["day%201/our clap.alignment.json"] }',
        'file:///shoot/day%25201/our%20clap.alignment.json': REPORT,
      }),
      'file:///shoot/cuts%20new/reel1.otio',
    );
    expect(project.reports.map(({ path, report }) => [path, report.file])).toEqual([
      ['file:///shoot/day%25201/our%20clap.alignment.json', '../day%201/our clap.alignment.json'],
    ]);
  });

  it('a change concerns the projects that looked at the file, or at its folder for a report', async () => {
    const project = await projectOf({ '/shoot/afterclap.json': '{}', '/shoot/cuts/day1.alignment.json': REPORT });
    expect(isAffectedBy(project, '/shoot/cuts/day1.alignment.json')).toBe(true);
    expect(isAffectedBy(project, '/shoot/cuts/day2.alignment.json')).toBe(true);
    expect(isAffectedBy(project, '/shoot/cuts/reel1.alignment.json')).toBe(true);
    expect(isAffectedBy(project, '/shoot/afterclap.json')).toBe(true);
    expect(isAffectedBy(project, 'file:///shoot/cuts/afterclap.json')).toBe(true);
    expect(isAffectedBy(project, '/shoot/cuts/reel2.otio')).toBe(false);
    expect(isAffectedBy(project, '/elsewhere/day1.alignment.json')).toBe(false);
  });
});

describe('where no file system is at hand', () => {
  it('touching one fails loudly', async () => {
    await expect(findProject(noFileSystem, '/shoot/reel1.otio')).rejects.toThrow(/was asked for where no file system is at hand/);
  });
});
