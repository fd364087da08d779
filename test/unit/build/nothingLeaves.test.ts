/**
 * Nothing leaves the machine, and nothing of a workspace is run: no network, no telemetry, no code made from text.
 *
 * The sources are searched for every way to the network or to other programs that Node 20 and browsers have (their manuals;
 * from memory). The three places that start programs are named here, each with what it starts, and the one that loads a script.
 */

import { readdir, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { expect, test } from 'vitest';

const root = join(import.meta.dirname, '..', '..', '..');

const STARTS_PROGRAMS = [
  // git, when a person compares with a commit.
  'server/src/node/git.ts',
  // ffprobe and ffmpeg, when a person measures camera files.
  'server/src/node/mediaFiles.ts',
  // our own command line.
  'client/src/node/processCommandLine.ts',
];

/** The worker of a browser, which loads the sound engine out of the extension's own folder when the clap desk is opened. */
const LOADS_A_SCRIPT = ['server/src/browser/serverMain.ts'];

const TO_THE_NETWORK =
  /\bfetch\s*\(|XMLHttpRequest|WebSocket|EventSource|sendBeacon|RTCPeerConnection|['"](?:node:)?(?:https?|http2|net|tls|dgram|dns)['"]/;
const MAKES_CODE = /\beval\s*\(|new Function\s*\(|['"](?:node:)?vm['"]|importScripts\s*\(/;
const PROGRAMS = /['"](?:node:)?(?:child_process|worker_threads|cluster)['"]|env\.openExternal|createTelemetryLogger/;

const sources = async (): Promise<readonly { readonly path: string; readonly text: string }[]> => {
  const found = [];
  for (const folder of ['server/src', 'client/src']) {
    for (const name of await readdir(join(root, folder), { recursive: true })) {
      if (!name.endsWith('.ts')) continue;
      const path = join(folder, name).replaceAll('\\', '/');
      found.push({ path, text: await readFile(join(root, path), 'utf8') });
    }
  }
  return found;
};

test('no source reaches for the network or makes code from text', async () => {
  const all = await sources();
  expect(all.length).toBeGreaterThan(300);
  expect(all.filter(({ text }) => TO_THE_NETWORK.test(text)).map(({ path }) => path)).toEqual([]);
  expect(all.filter(({ text }) => MAKES_CODE.test(text)).map(({ path }) => path)).toEqual(LOADS_A_SCRIPT);
});

test('only the named sources start programs', async () => {
  const starting = (await sources()).filter(({ text }) => PROGRAMS.test(text)).map(({ path }) => path);
  expect(starting.sort()).toEqual([...STARTS_PROGRAMS].sort());
});

test('the search finds what it looks for', () => {
  expect(TO_THE_NETWORK.test("import { request } from 'node:https';")).toBe(true);
  expect(TO_THE_NETWORK.test('await fetch(address)')).toBe(true);
  expect(MAKES_CODE.test('eval(text)')).toBe(true);
  expect(PROGRAMS.test("import { spawn } from 'child_process';")).toBe(true);
});
