/**
 * Asset maps: SMPTE ST 429-9 (XML schema, 2007), written by hand, and the look-up of one beside a playlist.
 */

import { describe, expect, it } from 'vitest';
import { readAssetMap } from '../../../server/src/core/formats/cpl/readAssetMap.ts';
import { findAssetNames } from '../../../server/src/project/findAssetNames.ts';
import { findProject } from '../../../server/src/project/findProject.ts';
import { fakeFileSystem } from '../project/fakeFileSystem.ts';

const ASSET_MAP = `<?xml version="1.0" encoding="UTF-8"?>
<AssetMap xmlns="http://www.smpte-ra.org/schemas/429-9/2007/AM">
  <Id>urn:uuid:5b1e0f7a-0000-4a00-8000-0000000000aa</Id>
  <AnnotationText>Invented</AnnotationText>
  <Creator>a test</Creator>
  <VolumeCount>1</VolumeCount>
  <IssueDate>2026-01-01T00:00:00Z</IssueDate>
  <Issuer>Nobody</Issuer>
  <AssetList>
    <Asset><Id>urn:uuid:5B1E0F7A-2222-4A22-8222-000000000002</Id>
      <ChunkList><Chunk><Path>DECK_0001.mxf</Path><VolumeIndex>1</VolumeIndex><Offset>0</Offset><Length>10</Length></Chunk>
        <Chunk><Path>DECK_0001b.mxf</Path></Chunk></ChunkList></Asset>
    <Asset><Id>urn:uuid:5b1e0f7a-0000-4a00-8000-0000000000bb</Id><PackingList>true</PackingList>
      <ChunkList><Chunk><Path>PKL &amp; more.xml</Path></Chunk></ChunkList></Asset>
  </AssetList>
</AssetMap>
`;

describe('an asset map', () => {
  it('gives the path of the first chunk by identifier, capitals aside', () => {
    const { names, problems } = readAssetMap(ASSET_MAP);
    expect(problems).toEqual([]);
    expect([...names]).toEqual([
      ['urn:uuid:5b1e0f7a-2222-4a22-8222-000000000002', 'DECK_0001.mxf'],
      ['urn:uuid:5b1e0f7a-0000-4a00-8000-0000000000bb', 'PKL & more.xml'],
    ]);
  });

  it('tells what is wrong on its own characters and keeps the rest', () => {
    const text = ASSET_MAP.replace('<Path>DECK_0001.mxf</Path>', '').replace('</AssetMap>', '');
    const { names, problems } = readAssetMap(text);
    expect(names.get('urn:uuid:5b1e0f7a-2222-4a22-8222-000000000002')).toBe('DECK_0001b.mxf');
    expect(problems.map(({ span, message }) => [text.slice(span.start, span.end).slice(0, 9), message])).toEqual([
      ['<AssetMap', expect.stringContaining('The text ends inside this element')],
      ['<Chunk>', 'This Chunk has no Path.'],
    ]);
    expect(readAssetMap('').names.size).toBe(0);
    expect(readAssetMap('<!DOCTYPE x [<!ENTITY a "b">]><AssetMap>&a;').names.size).toBe(0);
  });

  it('that gives two files for one identifier keeps the first and says so', () => {
    const text = ASSET_MAP.replace('5b1e0f7a-0000-4a00-8000-0000000000bb', '5b1e0f7a-2222-4a22-8222-000000000002');
    const { names, problems } = readAssetMap(text);
    expect(names.get('urn:uuid:5b1e0f7a-2222-4a22-8222-000000000002')).toBe('DECK_0001.mxf');
    expect(problems.map(({ message }) => message)).toEqual([expect.stringContaining('the first one, DECK_0001.mxf, is used')]);
  });
});

describe('the asset map of a playlist', () => {
  it('is the one in its folder, under either of its names', async () => {
    for (const name of ['ASSETMAP.xml', 'ASSETMAP']) {
      const files = fakeFileSystem({ '/imp/CPL_1.xml': '', [`/imp/${name}`]: ASSET_MAP });
      const project = await findProject(files, '/imp/CPL_1.xml');
      expect(project.assetNames?.size).toBe(2);
      expect(project.watched).toContain(`/imp/${name}`);
    }
  });

  it('is not looked for beside other timelines', async () => {
    const files = fakeFileSystem({ '/imp/cut.timeline.xml': '', '/imp/cut.otio': '', '/imp/ASSETMAP.xml': ASSET_MAP });
    for (const path of ['/imp/cut.timeline.xml', '/imp/cut.otio']) {
      expect((await findProject(files, path)).assetNames).toBeNull();
    }
    expect(files.calls.filter((call) => call.includes('ASSETMAP'))).toEqual([]);
  });

  it('is told when it cannot be read or is broken; without one the identifiers are the names', async () => {
    const show = (path: string): string => path;
    const closed = await findAssetNames(
      fakeFileSystem({ '/imp/ASSETMAP.xml': "!can't be read: permission denied" }),
      '/imp',
      show,
    );
    expect(closed.names).toBeNull();
    expect(closed.problems.map(({ message }) => message)).toEqual([
      "The asset map /imp/ASSETMAP.xml can't be read: permission denied, so files go by their identifiers.",
    ]);
    const broken = await findAssetNames(fakeFileSystem({ '/imp/ASSETMAP.xml': '<AssetMap>' }), '/imp', show);
    expect(broken.problems.length).toBeGreaterThan(0);
    const none = await findAssetNames(fakeFileSystem({}), '/imp', show);
    expect([none.names, none.problems]).toEqual([null, []]);
  });
});
