/**
 * `afterclap convert` as people run it: files, exit codes, streams; what is there already is left alone, and so is the source.
 */

import { chmodSync, existsSync, mkdirSync, readdirSync, readFileSync, symlinkSync } from 'node:fs';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { buildCli, type Cli, makeWorkspace, type Outcome, type Workspace } from '../cli/runCli.ts';
import { PICTURE_FILE, SOUND_FILE, TWO_SEGMENTS } from '../cpl/cplSupport.ts';

let cli: Cli;
let work: Workspace;

beforeAll(async () => {
  cli = await buildCli();
}, 60_000);
afterAll(() => cli.dispose());
beforeEach(() => {
  work = makeWorkspace('samples');
});
afterEach(() => work.dispose());

const run = (...words: readonly string[]): Promise<Outcome> => cli.run(['convert', ...words], work.folder);
const text = (name: string): string => readFileSync(work.path(name), 'utf8');
const findings = async (name: string): Promise<readonly object[]> => {
  const { stdout } = await cli.run(['check', name, '--format', 'json', '--alignment', 'millrace.alignment.json'], work.folder);
  const [file] = (
    JSON.parse(stdout) as {
      readonly files: readonly {
        readonly pairs: readonly { readonly record: object; readonly lag: object; readonly verdict: string }[];
      }[];
    }
  ).files;
  return (file?.pairs ?? []).map(({ record, lag, verdict }) => ({ record, lag, verdict }));
};

describe('a conversion', () => {
  it('that loses nothing exits with 0 and says so, and the file checks like its source', async () => {
    const { exitCode, stdout, stderr } = await run('millrace.otio', '--to', 'xml', '--out', 'new.timeline.xml');
    expect([exitCode, stdout]).toEqual([0, '']);
    expect(stderr).toBe('millrace.otio as neutral timeline XML: nothing was lost.\nwrote new.timeline.xml (V1, A1, A2)\n');
    const pairs = await findings('new.timeline.xml');
    expect(pairs.length).toBeGreaterThan(10);
    expect(pairs).toEqual(await findings('millrace.otio'));
  });

  it('that loses something exits with 1, lists each thing with its place, and writes all the same', async () => {
    const { exitCode, stderr } = await run('millrace.otio', '--to', 'edl', '--out', 'new.edl');
    expect(exitCode).toBe(1);
    expect(stderr).toMatch(
      /^millrace\.otio:\d+:\d+ {2}sub-frame {2}'race, wheel \(deck\)' on A1, 01:20:34:04 to 01:21:15:20\n {4}Its source lies between two frames of the list and goes to the earlier one, so it is heard 34\.875 ms later\.$/m,
    );
    expect(stderr).toMatch(
      /^millrace\.otio as edit decision list: \d+ things could not be kept \(.*\d sub-frame.*\)\.\nwrote new\.edl \(V1, A1, A2\)\n$/m,
    );
    expect(text('new.edl')).toMatch(/^TITLE: Millrace, cut 3\nFCM: NON-DROP FRAME\n001 {2}/);
    expect((await run('millrace.otio', '--to', 'edl', '--out', 'new.edl', '--force', '--allow-loss')).exitCode).toBe(0);
  });

  it('lists what was lost as JSON on standard output when asked', async () => {
    const { exitCode, stdout, stderr } = await run(
      'millrace.edl',
      '--to',
      'xml',
      '--out',
      'new.timeline.xml',
      '--report',
      'json',
    );
    expect(exitCode).toBe(1);
    expect(stderr).toBe(
      'afterclap: note: where files begin is taken from the alignment report. millrace.alignment.json is used: named in afterclap.json.\n',
    );
    const report = JSON.parse(stdout) as { readonly losses: readonly { readonly kind: string }[] };
    expect(report).toMatchObject({
      version: 1,
      path: 'millrace.edl',
      from: 'edl',
      to: 'xml',
      written: [{ path: 'new.timeline.xml', tracks: ['V', 'A1', 'A2'] }],
    });
    expect(report.losses[0]).toEqual({
      kind: 'unit',
      message: expect.stringContaining('is now counted at 48000'),
      clip: 'door, wide (deck)',
      track: 'A1',
      record: { start: '0', end: '1001/100' },
      range: { start: { line: 8, column: 30 }, end: { line: 8, column: 41 } },
    });
  });

  it('takes its name from the source: beside it, or in the folder that is asked for', async () => {
    mkdirSync(work.path('out'));
    work.write('reel.cpl.xml', TWO_SEGMENTS);
    expect((await run('reel.cpl.xml', '--to', 'otio', '--out', 'out')).stderr).toContain('wrote out/reel.otio (V1, A1)');
    expect((await run('millrace.edl', '--to', 'otio', '--out', 'out', '--allow-loss')).stderr).toContain(
      'wrote out/millrace.otio',
    );
    expect((await run('reel.cpl.xml', '--to', 'xml', '--allow-loss')).stderr).toContain('wrote reel.timeline.xml');
  });

  it('writes a list for each group of tracks', async () => {
    const { stderr } = await run('millrace.otio', '--to', 'edl', '--out', 'mix.edl', '--group', 'A1', '--group', 'A2');
    expect(stderr).toContain('wrote mix.A1.edl (V1, A1)\nwrote mix.A2.edl (V1, A2)\n');
    expect(existsSync(work.path('mix.edl'))).toBe(false);
  });
});

describe('what is there already', () => {
  it('is left alone without --force, and all names are looked at first', async () => {
    work.write('mix.A2.edl', 'mine');
    const words = ['millrace.otio', '--to', 'edl', '--out', 'mix.edl', '--group', 'A1', '--group', 'A2'];
    const { exitCode, stderr } = await run(...words);
    expect([exitCode, stderr]).toEqual([
      2,
      'afterclap: mix.A2.edl is there already and was left alone; write over it with --force, or choose another name with --out\n',
    ]);
    expect(existsSync(work.path('mix.A1.edl'))).toBe(false);
    expect(text('mix.A2.edl')).toBe('mine');
    expect((await run(...words, '--force')).exitCode).toBe(1);
    expect(text('mix.A2.edl')).toContain('TITLE');
  });

  it('is never the source, whatever name leads to it', async () => {
    const before = text('millrace.otio');
    symlinkSync(work.path('millrace.otio'), work.path('link.otio'));
    for (const out of ['millrace.otio', './millrace.otio', 'link.otio']) {
      const { exitCode, stderr } = await run('millrace.otio', '--to', 'otio', '--out', out, '--force');
      expect([exitCode, stderr]).toEqual([2, expect.stringContaining('is the source itself, which is never written over')]);
    }
    expect(text('millrace.otio')).toBe(before);
  });

  it('keeps its old content when nothing can be written, and no half file is left', async () => {
    mkdirSync(work.path('closed'));
    chmodSync(work.path('closed'), 0o555);
    const { exitCode, stderr } = await cli.runAsNobody(
      ['convert', 'millrace.otio', '--to', 'xml', '--out', 'closed/new.timeline.xml'],
      work.folder,
    );
    expect([exitCode, stderr]).toEqual([2, "afterclap: can't write closed/new.timeline.xml: permission denied\n"]);
    expect(readdirSync(work.path('closed'))).toEqual([]);
    expect((await run('millrace.otio', '--to', 'xml', '--out', 'nowhere/new.timeline.xml')).stderr).toBe(
      "afterclap: can't write nowhere/new.timeline.xml: there is no such file or folder\n",
    );
  });
});

describe('a playlist on the command line', () => {
  const assets = (files: Readonly<Record<string, string>>): string =>
    `<AssetMap xmlns="http://www.smpte-ra.org/schemas/429-9/2007/AM"><AssetList>${Object.entries(files)
      .map(([id, path]) => `<Asset><Id>${id}</Id><ChunkList><Chunk><Path>${path}</Path></Chunk></ChunkList></Asset>`)
      .join('')}</AssetList></AssetMap>`;
  const report = JSON.stringify({
    alignment: 1,
    pictures: { cam: { names: ['CAM_A_0001.mxf'], rate: '24000/1001' } },
    sounds: { deck: { names: ['DECK_0001.mxf'], sampleRate: 48000 } },
    pairs: [{ picture: 'cam', sound: 'deck', at: { frame: 0, sample: 0 } }],
  });

  it('is known by its name in a folder and by its first element when it is named; files go by the asset map beside it', async () => {
    mkdirSync(work.path('imp'));
    work.write('imp/CPL_1.xml', TWO_SEGMENTS);
    work.write('imp/other.xml', TWO_SEGMENTS);
    work.write('imp/ASSETMAP.xml', assets({ [PICTURE_FILE]: 'CAM_A_0001.mxf', [SOUND_FILE]: 'DECK_0001.mxf' }));
    work.write('imp/day.alignment.json', report);
    work.write('imp/afterclap.json', '{}');
    const folder = await cli.run(['check', 'imp', '--format', 'json'], work.folder);
    const files = (
      JSON.parse(folder.stdout) as {
        readonly files: readonly { readonly path: string; readonly format: string; readonly pairs: readonly object[] }[];
      }
    ).files;
    expect(files.map(({ path, format, pairs }) => [path, format, pairs.length])).toEqual([
      ['imp/CPL_1.xml', 'cpl', 2],
      ['imp/afterclap.json', 'settings', 0],
      ['imp/day.alignment.json', 'alignment', 0],
    ]);
    const named = await cli.run(['check', 'imp/other.xml', '--format', 'json'], work.folder);
    expect(JSON.parse(named.stdout)).toMatchObject({ files: [{ format: 'cpl', pairs: [{ verdict: 'in' }, { verdict: 'in' }] }] });
    const converted = await run('imp/CPL_1.xml', '--to', 'otio', '--allow-loss');
    expect(converted.exitCode).toBe(0);
    expect(text('imp/CPL_1.otio')).toContain('"target_url": "DECK_0001.mxf"');
  });

  it('with a broken asset map says so and goes by identifiers', async () => {
    work.write('CPL_1.xml', TWO_SEGMENTS);
    work.write('ASSETMAP.xml', '<AssetMap>');
    const { exitCode, stderr } = await cli.run(['check', 'CPL_1.xml'], work.folder);
    expect(exitCode).toBe(2);
    expect(stderr).toContain('In the asset map ASSETMAP.xml: ');
  });
});

describe('words that mean nothing', () => {
  it.each([
    [['--to', 'edl'], 'convert needs a timeline: afterclap convert cut.otio --to edl'],
    [['millrace.otio'], 'convert needs a format: --to otio, --to xml, --to edl'],
    [['millrace.otio', '--to', 'elf'], "'elf' is no format to convert to; expected otio, xml or edl"],
    [['millrace.otio', 'millrace.edl', '--to', 'xml'], 'convert takes one timeline, got 2'],
    [['millrace.otio', '--to', 'xml', '--group', 'A1'], '--group is for edit lists; use it with --to edl'],
    [['millrace.otio', '--to', 'edl', '--group', ','], '--group needs names of tracks: --group A1,A2'],
    [
      ['millrace.otio', '--to', 'edl', '--group', 'A9'],
      "millrace.otio: there is no track 'A9' to put into a list; tracks: V1, A1, A2",
    ],
    [['millrace.otio', '--to', 'xml', '--report', 'yaml'], "'yaml' is no form of the report; expected text or json"],
    [['none.otio', '--to', 'xml'], "can't read none.otio: there is no such file or folder"],
    [['.', '--to', 'xml'], '. is a folder; a file is wanted here'],
    [['millrace.otio', '--to', 'xml', '--alignment', 'none.json'], '--alignment: none.json is not there'],
  ])('%j', async (words, message) => {
    const { exitCode, stdout, stderr } = await run(...words);
    expect([exitCode, stdout, stderr]).toEqual([2, '', `afterclap: ${message}\n`]);
  });

  it('a timeline without clips is nothing to convert', async () => {
    work.write('empty.edl', 'TITLE: nothing\n');
    const { exitCode, stderr } = await run('empty.edl', '--to', 'otio');
    expect([exitCode, stderr]).toEqual([2, 'afterclap: empty.edl: there is no clip in it to convert\n']);
    expect(existsSync(work.path('empty.otio'))).toBe(false);
  });
});
