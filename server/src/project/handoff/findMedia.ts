/**
 * Which file on the disk is a recording of the cut.
 *
 * The address in the timeline counts first, where it leads to a file. Else the folders are searched by name: with its ending, then, among
 * wave files, without. Two files of one name are told apart by what the report says of length and stamp; where that does not tell them
 * apart none is used, since a guess here would hand over another day's sound.
 */

import { URI } from 'vscode-uri';
import { comparableName, withoutExtension } from '../../core/alignment/mediaNames.ts';
import type { SoundEntry } from '../../core/alignment/model.ts';
import { differences } from '../../core/handoff/pullList.ts';
import type { FoundRecording } from '../../core/handoff/recordingFacts.ts';
import { listInWords } from '../../core/text/words.ts';
import type { MediaPort } from '../measure/mediaPort.ts';
import { comparablePath, isUri, nameOf, parentOf, resolveFrom } from '../paths.ts';
import { openRecording } from './openRecording.ts';

/** A recording somebody wants, with every name its file may have. */
export interface WantedRecording {
  /** Likeliest first. */
  readonly names: readonly string[];
  readonly urls: readonly { readonly url: string /** The timeline that writes it. */; readonly from: string }[];
  readonly sound: SoundEntry | null;
}

/** Files by name, made once for all look-ups. */
export interface MediaIndex {
  readonly byName: ReadonlyMap<string, readonly string[]>;
  /** Wave files only. */
  readonly byStem: ReadonlyMap<string, readonly string[]>;
  /** Where they were searched, for people: 'media and day2'. */
  readonly searched: string;
}

const WAVE = /\.(?:wav|wave|bwf|rf64)$/i;

export function mediaIndex(paths: readonly string[], folders: readonly string[]): MediaIndex {
  const byName = new Map<string, string[]>();
  const byStem = new Map<string, string[]>();
  for (const path of paths) {
    const name = comparableName(nameOf(path));
    append(byName, name, path);
    if (WAVE.test(name)) append(byStem, withoutExtension(name), path);
  }
  return { byName, byStem, searched: listInWords(folders) };
}

export async function findRecording(
  openBytes: MediaPort['openBytes'],
  index: MediaIndex,
  wanted: WantedRecording,
): Promise<FoundRecording> {
  const addressed = await firstUsable(openBytes, pathsOfUrls(wanted));
  if (addressed !== null && fits(addressed, wanted.sound)) return addressed.found;
  const searched = await searchFor(openBytes, index, wanted);
  // A file of another length or stamp at the address gives way to one that has those of the report.
  if (addressed !== null)
    return searched.kind === 'found' && fits({ found: searched }, wanted.sound) ? searched : addressed.found;
  return searched;
}

async function searchFor(openBytes: MediaPort['openBytes'], index: MediaIndex, wanted: WantedRecording): Promise<FoundRecording> {
  const candidates = candidatesFor(index, wanted.names);
  if (candidates.length === 0) {
    return { kind: 'absent', reason: index.searched === '' ? 'was not looked for' : `was not found in ${index.searched}` };
  }
  const usable: Usable[] = [];
  const reasons: string[] = [];
  for (const path of candidates) {
    const looked = await lookAt(openBytes, path);
    if (looked.ok) usable.push(looked);
    else reasons.push(`${path} ${looked.reason}`);
  }
  const [only] = usable;
  if (only === undefined) return { kind: 'absent', reason: `was found, but ${listInWords(reasons)}` };
  if (usable.length === 1) return only.found;
  return chosenAmong(usable, wanted.sound);
}

interface Usable {
  readonly ok: true;
  readonly path: string;
  readonly found: FoundRecording & { readonly kind: 'found' };
}

function fits({ found }: Pick<Usable, 'found'>, sound: SoundEntry | null): boolean {
  return sound === null || differences(sound, found.facts).length === 0;
}

function chosenAmong(usable: readonly Usable[], sound: SoundEntry | null): FoundRecording {
  const paths = listInWords(usable.map(({ path }) => path));
  const fitting = sound === null ? [] : usable.filter((one) => fits(one, sound));
  const [chosen] = fitting;
  if (chosen !== undefined && fitting.length === 1) {
    const remark = `${usable.length} files have its name (${paths}); the one whose length and stamp the report has was taken.`;
    return { ...chosen.found, remarks: [...chosen.found.remarks, remark] };
  }
  return {
    kind: 'absent',
    reason: `is there ${usable.length} times (${paths}) and nothing tells which is meant; give --media the folder of the right one`,
  };
}

async function firstUsable(openBytes: MediaPort['openBytes'], paths: readonly string[]): Promise<Usable | null> {
  for (const path of paths) {
    const looked = await lookAt(openBytes, path);
    if (looked.ok) return looked;
  }
  return null;
}

/** The header is read and the file closed again: a hand-off may want more recordings than may be open at once. */
async function lookAt(
  openBytes: MediaPort['openBytes'],
  path: string,
): Promise<Usable | { readonly ok: false; readonly reason: string }> {
  const opened = await openRecording(openBytes, path);
  if (!opened.ok) return opened;
  await opened.close();
  return { ok: true, path, found: { kind: 'found', facts: opened.facts, remarks: opened.remarks } };
}

function candidatesFor({ byName, byStem }: MediaIndex, names: readonly string[]): readonly string[] {
  const wholeNames = names.flatMap((name) => byName.get(comparableName(name)) ?? []);
  const found =
    wholeNames.length > 0 ? wholeNames : names.flatMap((name) => byStem.get(withoutExtension(comparableName(name))) ?? []);
  const seen = new Set<string>();
  return found.filter((path) => {
    const key = comparablePath(path);
    if (seen.has(key)) return false;
    seen.add(key);
    return true;
  });
}

function pathsOfUrls({ urls }: WantedRecording): readonly string[] {
  const paths = new Set<string>();
  for (const { url, from } of urls) {
    if (isUri(url)) {
      const uri = parsedUri(url);
      if (uri?.scheme === 'file' && uri.authority === '') paths.add(uri.fsPath);
      continue;
    }
    const folder = parentOf(from) ?? '.';
    for (const spelling of [url, decoded(url)]) paths.add(resolveFrom(folder, spelling));
  }
  return [...paths];
}

function parsedUri(url: string): URI | null {
  try {
    return URI.parse(url);
  } catch {
    return null;
  }
}

function decoded(text: string): string {
  try {
    return decodeURIComponent(text);
  } catch {
    return text;
  }
}

function append(map: Map<string, string[]>, key: string, path: string): void {
  const known = map.get(key);
  if (known === undefined) map.set(key, [path]);
  else known.push(path);
}
