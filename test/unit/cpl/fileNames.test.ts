/**
 * Which files are composition playlists: by name as packages have them (common practice), else by their first element.
 */

import { describe, expect, it } from 'vitest';
import { formatOfFileName, formatOfXmlText } from '../../../server/src/core/formats/formatFor.ts';

describe('a file name', () => {
  it.each([
    ['reel1.cpl.xml', 'cpl'],
    ['REEL1.CPL.XML', 'cpl'],
    ['CPL_5b1e0f7a-1111.xml', 'cpl'],
    ['CPL.xml', 'cpl'],
    ['cpl-reel1.xml', 'cpl'],
    ['CPLreel1.xml', 'cpl'],
    ['cplayer.xml', null],
    ['CPL_1.timeline.xml', 'xml'],
    ['CPL_notes.txt', null],
    ['ASSETMAP.xml', null],
    ['PKL_1.xml', null],
  ])('%s is of the format %s', (name, format) => {
    expect(formatOfFileName(name)).toBe(format);
  });
});

describe('the first element of a text', () => {
  it.each([
    ['<CompositionPlaylist xmlns="x">', 'cpl'],
    ['\ufeff<?xml version="1.0"?>\n<!-- <Timeline> -->\n<p:CompositionPlaylist>', 'cpl'],
    ['<Timeline xmlns="urn:afterclap:timeline:1">', 'xml'],
    ['<CompositionPlaylists>', 'xml'],
    ['<!-- never closed <CompositionPlaylist>', 'xml'],
    ['', 'xml'],
    ['<', 'xml'],
  ])('%j is of the format %s', (text, format) => {
    expect(formatOfXmlText(text)).toBe(format);
  });
});
