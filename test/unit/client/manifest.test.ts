/**
 * The manifest and the code of the extension say the same: commands, walkthrough, sample, files of the package.
 */

import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { FIRST_FILE, freeSampleFolder, SAMPLE_FILES } from '../../../client/src/welcome/sampleFiles.ts';
import { repositoryRoot } from '../cli/runCli.ts';

const manifest = JSON.parse(readFileSync(join(repositoryRoot, 'package.json'), 'utf8'));
const { commands, menus, walkthroughs } = manifest.contributes;
const declared: readonly string[] = commands.map(({ command }: { readonly command: string }) => command);

/** Called by the extension itself with arguments that nobody could type; they are in no menu. */
const INTERNAL: readonly string[] = ['afterclap.acceptWithReason', 'afterclap.revealReviewed'];

const sources = readdirSync(join(repositoryRoot, 'client', 'src'), { recursive: true, encoding: 'utf8' })
  .filter((name) => name.endsWith('.ts'))
  .map((name) => readFileSync(join(repositoryRoot, 'client', 'src', name), 'utf8'));

/** `registerCommand('x'` and `registerCommand(X` with `const X = 'x'` in the same file. */
const registered = sources.flatMap((source) =>
  [...source.matchAll(/registerCommand\(\s*(?:'([^']+)'|([A-Z_]+))/g)].map(
    ([, name, constant]) => name ?? new RegExp(`const ${constant} = '([^']+)'`).exec(source)?.[1] ?? `unknown ${constant}`,
  ),
);

describe('commands', () => {
  it('each of the manifest is registered once, and each that is registered is in the manifest', () => {
    expect(registered.toSorted()).toEqual([...declared, ...INTERNAL].toSorted());
  });

  it('have titles that begin with a verb, in the style of titles, under one category', () => {
    for (const { command, title, category } of commands) {
      expect(category, command).toBe('Afterclap');
      expect(title, command).toMatch(/^[A-Z][a-z]+ /);
      expect(title, command).not.toMatch(/\.$(?<!\.\.\.)/);
    }
    expect(new Set(commands.map(({ title }: { readonly title: string }) => title)).size).toBe(commands.length);
  });

  it('of menus exist', () => {
    for (const items of Object.values<readonly { readonly command: string }[]>(menus)) {
      for (const { command } of items) expect(declared).toContain(command);
    }
  });

  it('about the timeline in front are offered in the palette only when there is one', () => {
    const always = ['afterclap.openSample', 'afterclap.restart'];
    const limited: readonly string[] = menus.commandPalette.map(({ command }: { readonly command: string }) => command);
    expect(declared.filter((command) => !limited.includes(command) && !always.includes(command))).toEqual([]);
  });
});

describe('the walkthrough', () => {
  const [walkthrough] = walkthroughs;
  const steps: readonly Record<string, string & { svg: string; altText: string } & readonly string[]>[] = walkthrough.steps;

  it('has four to seven steps, each with a picture of our own, words for it, and an end', () => {
    expect(walkthroughs).toHaveLength(1);
    expect(steps.length).toBeGreaterThanOrEqual(4);
    expect(steps.length).toBeLessThanOrEqual(7);
    for (const { id, media, completionEvents } of steps) {
      expect(existsSync(join(repositoryRoot, media?.svg ?? '')), id).toBe(true);
      expect(media?.altText, id).toMatch(/^[A-Z].{20,}\.$/);
      expect(completionEvents?.length, id).toBeGreaterThan(0);
    }
  });

  it('calls commands that exist, and waits for such', () => {
    for (const { description, completionEvents } of steps) {
      const called = [...(description ?? '').matchAll(/\]\(command:([^)]+)\)/g)].map(([, command]) => command);
      const awaited = (completionEvents ?? []).flatMap((event) => /^onCommand:(.+)$/.exec(event)?.[1] ?? []);
      expect(called.length).toBe(1);
      for (const command of [...called, ...awaited].filter((name) => name?.startsWith('afterclap.'))) {
        expect(declared).toContain(command);
      }
    }
  });

  it('waits for a context that the extension sets', () => {
    const keys = steps.flatMap(({ completionEvents }) =>
      (completionEvents ?? []).flatMap((event) => /^onContext:(.+)$/.exec(event)?.[1] ?? []),
    );
    expect(keys.length).toBeGreaterThan(0);
    for (const key of keys)
      expect(
        sources.some((source) => source.includes(`'${key}'`)),
        key,
      ).toBe(true);
  });

  it('has pictures that take every colour from the theme, and run nothing', () => {
    for (const { media } of steps) {
      const svg = readFileSync(join(repositoryRoot, media?.svg ?? ''), 'utf8');
      expect(svg).not.toMatch(/<(script|style|image|foreignObject)|\s(style|on\w+)=|href/);
      for (const [, colour] of svg.matchAll(/\s(?:fill|stroke)="([^"]+)"/g)) {
        expect(colour).toMatch(/^(none|var\(--vscode-[A-Za-z-]+, #[0-9a-f]{6}\))$/);
      }
    }
  });
});

describe('the sample that the extension carries', () => {
  it('is all of samples/', () => {
    expect(SAMPLE_FILES).toEqual(readdirSync(join(repositoryRoot, 'samples')).toSorted());
    expect(SAMPLE_FILES).toContain(FIRST_FILE);
  });

  it('goes into a folder of its own, whatever is there', () => {
    expect(freeSampleFolder([])).toBe('millrace');
    expect(freeSampleFolder(['Millrace', 'other'])).toBe('millrace-2');
    expect(freeSampleFolder(['millrace', 'MILLRACE-2', 'millrace-4'])).toBe('millrace-3');
  });
});

describe('the icons', () => {
  /** Width and height stand in the first chunk of a PNG, after its signature (PNG specification, W3C, 5.2 and 11.2.2). */
  const sizeOf = (path: string): readonly [number, number] => {
    const bytes = readFileSync(join(repositoryRoot, path));
    expect(bytes.subarray(0, 8)).toEqual(Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]));
    return [bytes.readUInt32BE(16), bytes.readUInt32BE(20)];
  };

  it('of the extension are there in two sizes', () => {
    expect(sizeOf(manifest.icon)).toEqual([256, 256]);
    expect(sizeOf('client/media/icon-128.png')).toEqual([128, 128]);
  });

  it('of timelines are there for light and dark themes', () => {
    const withIcon = manifest.contributes.languages.filter(({ icon }: { readonly icon?: object }) => icon !== undefined);
    expect(withIcon.map(({ id }: { readonly id: string }) => id)).toEqual([
      'otio',
      'afterclap-xml',
      'afterclap-edl',
      'afterclap-cpl',
    ]);
    for (const { icon } of withIcon) {
      for (const path of [icon.light, icon.dark]) expect(existsSync(join(repositoryRoot, path))).toBe(true);
    }
  });
});

describe('the package', () => {
  const allowed = readFileSync(join(repositoryRoot, '.vscodeignore'), 'utf8').split('\n');

  it.each([
    '!samples/*',
    '!client/media/*.png',
    '!client/media/*-light.svg',
    '!client/media/*-dark.svg',
    '!client/media/walkthrough/*.svg',
    '!server/docs/settings.md',
  ])('takes %s along', (line) => {
    expect(allowed).toContain(line);
  });
});
