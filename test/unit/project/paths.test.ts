import { describe, expect, it } from 'vitest';
import { comparablePath, nameOf, parentOf, relativeTo, resolveFrom } from '../../../server/src/project/paths.ts';

describe('the folder of a path', () => {
  it.each([
    ['/shoot/cuts/reel1.otio', '/shoot/cuts'],
    ['/shoot/cuts/', '/shoot'],
    ['/reel1.otio', '/'],
    ['/', null],
    ['C:\\shoot\\reel1.otio', 'C:/shoot'],
    ['C:/reel1.otio', 'C:/'],
    ['C:/', null],
    ['reel1.otio', null],
    ['file:///shoot/day%201/reel1.otio', 'file:///shoot/day%201'],
    ['file:///reel1.otio', 'file:///'],
    ['file:///', null],
    ['memory://host/a/b.edl', 'memory://host/a'],
    ['untitled:Untitled-1', null],
    ['/shoot/back\\slash.otio', '/shoot'],
  ])('%s is in %s', (path, folder) => {
    expect(parentOf(path)).toBe(folder);
  });
});

describe('a path written in a file', () => {
  it.each([
    ['/shoot', 'day1.alignment.json', '/shoot/day1.alignment.json'],
    ['/shoot/', './sync/../day1.alignment.json', '/shoot/day1.alignment.json'],
    ['/shoot/a', '..\\day1.alignment.json', '/shoot/day1.alignment.json'],
    ['/shoot', '/else/day1.alignment.json', '/else/day1.alignment.json'],
    ['/', '../../day1.alignment.json', '/day1.alignment.json'],
    ['C:/shoot', 'day1.alignment.json', 'C:/shoot/day1.alignment.json'],
    ['C:/shoot', 'D:\\day1.alignment.json', 'D:/day1.alignment.json'],
    ['//server/share', 'day1.alignment.json', '//server/share/day1.alignment.json'],
    ['file:///shoot', 'day 1/ü.alignment.json', 'file:///shoot/day%201/%C3%BC.alignment.json'],
    ['file:///shoot', '/else/a.alignment.json', 'file:///else/a.alignment.json'],
    ['file:///c%3A/shoot', 'D:/a.alignment.json', 'file:///d%3A/a.alignment.json'],
    ['file:///shoot', 'file:///else/a.alignment.json', 'file:///else/a.alignment.json'],
  ])('from %s, %s is %s', (folder, path, expected) => {
    expect(resolveFrom(folder, path)).toBe(expected);
  });
});

describe('a path as people see it', () => {
  it.each([
    ['/shoot/cuts', '/shoot/cuts/day1.alignment.json', 'day1.alignment.json'],
    ['/shoot/cuts', '/shoot/day1.alignment.json', '../day1.alignment.json'],
    ['/shoot/cuts', '/else/day1.alignment.json', '/else/day1.alignment.json'],
    ['/', '/day1.alignment.json', 'day1.alignment.json'],
    ['/shoot/cuts', '/shoot/cuts', '../cuts'],
    ['C:/shoot', 'D:/day1.alignment.json', 'D:/day1.alignment.json'],
    ['file:///shoot/cuts', 'file:///shoot/day%201.alignment.json', '../day 1.alignment.json'],
    ['file:///shoot', 'memory://host/shoot/a.json', 'memory://host/shoot/a.json'],
  ])('from %s, %s is %s', (base, path, expected) => {
    expect(relativeTo(base, path)).toBe(expected);
  });

  it('has a name of its own', () => {
    expect(nameOf('file:///shoot/day%201.alignment.json')).toBe('day 1.alignment.json');
    expect(nameOf('C:\\shoot\\reel1.otio')).toBe('reel1.otio');
  });
});

describe('two spellings of one place', () => {
  it.each([
    ['/shoot/a.json', 'file:///shoot/a.json'],
    ['C:\\shoot\\a.json', 'file:///c%3A/shoot/a.json'],
    ['file:///C:/shoot/a.json', 'file:///c%3a/shoot/a.json'],
    ['/shoot/./b/../a.json', '/shoot/a.json'],
  ])('%s is %s', (left, right) => {
    expect(comparablePath(left)).toBe(comparablePath(right));
  });

  it('are not one when scheme or letters differ', () => {
    expect(comparablePath('memory://host/a.json')).not.toBe(comparablePath('/a.json'));
    expect(comparablePath('/A.json')).not.toBe(comparablePath('/a.json'));
  });
});
