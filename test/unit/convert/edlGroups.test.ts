/**
 * Which tracks go into which edit list: one picture and four sound channels (common practice).
 */

import { describe, expect, it } from 'vitest';
import { edlGroups } from '../../../server/src/core/convert/edlGroups.ts';
import type { Track } from '../../../server/src/core/timeline/model.ts';

function tracks(...names: readonly string[]): readonly Track[] {
  return names.map((name, index) => {
    const kind = name.startsWith('V') || name.startsWith('Cam') ? 'picture' : 'sound';
    return { index, kind, name, span: { start: 0, end: 0 }, isEnabled: true };
  });
}

function lists(all: readonly Track[], ...wanted: readonly (readonly string[])[]): readonly string[] | string {
  const found = edlGroups(all, wanted);
  if (!found.ok) return found.reason;
  return found.groups.map(
    ({ picture, sounds, label }) => `${label ?? 'all'}: ${[picture?.name, ...sounds.map(({ name }) => name)].join(' ')}`,
  );
}

describe('the usual lists', () => {
  it('are one where a picture and four sound tracks hold everything', () => {
    expect(lists(tracks('V1', 'A1', 'A2', 'A3', 'A4'))).toEqual(['all: V1 A1 A2 A3 A4']);
    expect(lists(tracks('V1'))).toEqual(['all: V1']);
    expect(lists(tracks('A1'))).toEqual(['all:  A1']);
  });

  it('are one for each four sound tracks, all with the picture, and one for each further picture track', () => {
    const names = ['V1', 'V2', ...Array.from({ length: 6 }, (_, index) => `A${index + 1}`)];
    expect(lists(tracks(...names))).toEqual(['A1-A4: V1 A1 A2 A3 A4', 'A5-A6: V1 A5 A6', 'V2: V2']);
    expect(lists(tracks('V1', 'A1', 'A2', 'A3', 'A4', 'A5'))).toEqual(['A1-A4: V1 A1 A2 A3 A4', 'A5: V1 A5']);
    expect(lists(tracks('V1', 'V2'))).toEqual(['V1: V1', 'V2: V2']);
  });
});

describe('lists asked for', () => {
  const all = tracks('Cam', 'V2', 'Boom', 'A2', 'Lav');

  it('name tracks as they are called, else by their place', () => {
    expect(lists(all, ['boom', 'A3'], ['V2', 'A2'])).toEqual(['A1+A3: Cam Boom Lav', 'V2+A2: V2 A2']);
    expect(lists(all, ['V', 'A'])).toEqual(['A1: Cam Boom']);
  });

  it('tell what is in none of them', () => {
    const found = edlGroups(all, [['Boom']]);
    expect(found.ok && found.leftOut.map(({ name }) => name)).toEqual(['V2', 'A2', 'Lav']);
  });

  it('are refused for unknown tracks, two pictures, five sounds, and the same twice', () => {
    expect(lists(all, ['A9'])).toBe("there is no track 'A9' to put into a list; tracks: Cam, V2, Boom, A2, Lav");
    expect(lists(all, ['Cam', 'V2'])).toBe('the group Cam,V2 has 2 picture tracks; a list holds one');
    expect(lists(tracks('A1', 'A2', 'A3', 'A4', 'A5'), ['A1', 'A2', 'A3', 'A4', 'A5'])).toContain('has 5 sound tracks');
    expect(lists(all, ['Boom'], ['A1'])).toContain('two groups hold the same tracks');
  });
});
