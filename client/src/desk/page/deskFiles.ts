/**
 * The two files of a pair: found, opened, drawn from and listened to, all by questions to the editor.
 *
 * An answer for a pair that is not looked at any more is let go. What can't be had is said in the state's words.
 */

import { compare, rational, toNumber } from '../../../../server/src/core/time/rational.ts';
import type { PageMedia, PagePeaks } from '../deskMessages.ts';
import { type CameraFile, nothingOf, openCameraFile } from './cameraFile.ts';
import type { DeskHost } from './deskHost.ts';
import { clapSampleIn, NO_FILES, type Subject } from './deskState.ts';
import type { DeskStore } from './deskStore.ts';
import type { DeskView } from './deskView.ts';
import { createFrameShelf, type FrameShelf } from './frameShelf.ts';
import type { GivenFiles } from './givenFiles.ts';

const OVERVIEW_COLUMNS = 4000;
/** Of a long recording this much is shown first: each column is a read, and a file may be far away. */
const FIRST_COLUMNS = 500;
/** Looked through first, so that the clap of the pair is known at once. */
const NEAR_SECONDS = 4;
/** A recording shorter than this is looked through in one go. */
const SHORT_SECONDS = 120;
/** All of a longer one is read when a person asks for it: gigabytes over a network are not read unasked where a clap is known. */
const LONG_SECONDS = 2400;
const DETAIL_PAUSE_MS = 30;
const WITHOUT_CAMERA = 'Without it no frames are seen: type the frame of the clap, as number or timecode.';

export interface DeskFiles {
  readonly camera: () => CameraFile;
  /** Null where no picture can be shown. */
  readonly shelf: () => FrameShelf | null;
  /** Gets everything that belongs to another pair. `onSound` is called once the recording is there. */
  readonly start: (onSound: () => void) => void;
  readonly stopSearch: () => void;
  /** Listens to all of the recording, however long. */
  readonly searchAll: () => Promise<void>;
  readonly loadOverview: () => Promise<void>;
  /** Asks for what this view needs, unless that is there or on its way. */
  readonly askForDetail: (view: DeskView, width: number) => void;
  /** What was read for this view, else whatever shows it best. */
  readonly peaksFor: (view: DeskView, width: number) => PagePeaks | null;
  /** In the browser's own dialog where files are given to the page, else in the editor's. False when nothing was chosen. */
  readonly choose: (role: 'picture' | 'sound', isGiven: boolean) => Promise<boolean>;
  /** Files that a person chose, by role and key. */
  readonly chosen: () => Readonly<Record<string, string>>;
  /** Another number for each pair: an answer under an old one is late. */
  readonly round: () => number;
}

interface DeskFilesInput {
  readonly store: DeskStore;
  readonly host: DeskHost;
  readonly given: GivenFiles;
  /** Files that were chosen before this page was there. */
  readonly known: Readonly<Record<string, string>>;
  /** What is seen, null as long as nothing is. */
  readonly viewNow: () => DeskView | null;
}

export function createDeskFiles({ store, host, given, known, viewNow }: DeskFilesInput): DeskFiles {
  const chosen: Record<string, string> = { ...known };
  let camera: CameraFile = nothingOf('');
  let shelf: FrameShelf | null = null;
  let round = 0;
  let stopSearch: (() => void) | null = null;
  let detailTimer: ReturnType<typeof setTimeout> | undefined;
  let isDetailOnItsWay = false;

  const start = (onSound: () => void): void => {
    round += 1;
    stopSearch?.();
    stopSearch = null;
    shelf?.close();
    camera.close();
    shelf = null;
    camera = nothingOf('');
    store.update(NO_FILES);
    void loadSound(onSound);
    void loadCamera();
  };

  const loadSound = async (onSound: () => void): Promise<void> => {
    const { subject } = store.get();
    if (subject === null) return;
    const mine = round;
    const { key, names } = subject.sound;
    const found = await host.ask('media', { role: 'sound', key, names, file: chosen[`sound ${key}`] ?? null }).answer;
    if (mine !== round) return;
    if (found === null || found.file === null || found.recording === null) {
      store.update({ soundWords: found?.words ?? 'The recording could not be looked for.' });
      return;
    }
    const words = [found.words, rateWords(found, subject)].filter((sentence) => sentence !== '').join(' ');
    store.update({ recording: { file: found.file, facts: found.recording }, soundWords: words });
    onSound();
    void loadOverview();
    void search();
  };

  const loadOverview = async (): Promise<void> => {
    const { recording, channel } = store.get();
    if (recording === null) return;
    const mine = round;
    const { sampleCount, sampleRate } = recording.facts;
    const isLong = sampleCount > LONG_SECONDS * sampleRate;
    for (const columns of isLong ? [FIRST_COLUMNS, OVERVIEW_COLUMNS] : [OVERVIEW_COLUMNS]) {
      const found = await host.ask('peaks', { file: recording.file, start: 0, end: sampleCount, columns, channel }).answer;
      const { overview, channel: channelNow } = store.get();
      if (mine !== round || channel !== channelNow || found === null) return;
      // Listening may have brought exact columns meanwhile.
      if (overview !== null && !overview.isSparse && found.isSparse) return;
      store.update({ overview: found });
    }
  };

  const search = async (): Promise<void> => {
    const { recording } = store.get();
    if (recording === null) return;
    const mine = round;
    const { file, facts } = recording;
    const near = clapSampleIn(store.get());
    if (near !== null && facts.sampleCount > SHORT_SECONDS * facts.sampleRate) {
      const reach = NEAR_SECONDS * facts.sampleRate;
      const range = { start: toNumber(near) - reach, end: toNumber(near) + reach };
      const found = await host.ask('claps', { file, range, columns: 1 }).answer;
      if (mine !== round) return;
      if (found !== null) store.update({ heard: found.claps });
      if (facts.sampleCount > LONG_SECONDS * facts.sampleRate) {
        store.update({ isAllHeard: false, searchWords: `Only ${2 * NEAR_SECONDS} s around the clap were listened to.` });
        return;
      }
    }
    await searchAll();
  };

  const searchAll = async (): Promise<void> => {
    const { recording } = store.get();
    if (recording === null || stopSearch !== null) return;
    const mine = round;
    store.update({ search: 0 });
    let isStopped = false;
    const asking = host.ask('claps', { file: recording.file, range: null, columns: OVERVIEW_COLUMNS }, (share) => {
      if (mine === round && store.get().search !== null) store.update({ search: share });
    });
    stopSearch = () => {
      isStopped = true;
      asking.stop();
    };
    const found = await asking.answer;
    if (mine !== round) return;
    stopSearch = null;
    if (found === null) {
      const words = isStopped ? 'Stopped before all of it was heard.' : 'Listening for claps failed.';
      const searchWords = `${words} Put the edge by hand, or take a clap that is listed.`;
      store.update({ search: null, isAllHeard: false, searchWords });
      return;
    }
    const count = found.claps.filter(({ isClap }) => isClap).length;
    store.update({
      search: null,
      isAllHeard: true,
      heard: found.claps,
      searchWords: heardWords(count, found.remarks, found.unlistedCount),
      ...(found.peaks !== null && store.get().channel === null ? { overview: found.peaks } : {}),
    });
  };

  const loadCamera = async (): Promise<void> => {
    const { subject } = store.get();
    if (subject === null) return;
    const mine = round;
    const { key, names } = subject.picture;
    const found = await host.ask('media', { role: 'picture', key, names, file: chosen[`picture ${key}`] ?? null }).answer;
    if (mine !== round) return;
    const file = found?.file ?? null;
    if (found === null || file === null || found.size === null) {
      const why = file === null ? (found?.words ?? '') : `${found?.name} ${found?.refusal ?? "can't be read."}`;
      store.update({ pictureWords: `${why} ${WITHOUT_CAMERA}`.trim() });
      return;
    }
    const { name, size } = found;
    const read = async (start: number, end: number): Promise<Uint8Array | null> =>
      given.has(file)
        ? ((await given.read(file, [{ start, end }]))?.[0] ?? null)
        : host.ask('bytes', { file, start, end }).answer;
    const opened = await openCameraFile({ name, size, read }, subject.rate);
    if (mine !== round) {
      opened.close();
      return;
    }
    camera = opened;
    shelf = createFrameShelf(opened, store.requestFrame, () => {
      if (mine !== round) return;
      camera = { ...opened, hasPicture: false };
      store.update({
        pictureWords: `${name} looked as if it could be shown, but its pictures can't be decoded here. Type the frame of the clap, as number or timecode.`,
      });
    });
    store.update({ pictureWords: [found.words, opened.words].filter((words) => words !== '').join(' ') });
  };

  const loadDetail = async (width: number): Promise<void> => {
    const { recording, channel } = store.get();
    const view = viewNow();
    if (recording === null || view === null) return;
    const mine = round;
    const span = view.end - view.start;
    const from = Math.max(0, Math.floor(view.start - span / 2));
    const to = Math.min(recording.facts.sampleCount, Math.ceil(view.end + span / 2));
    const columns = Math.ceil((width * devicePixelRatio * (to - from)) / span);
    isDetailOnItsWay = true;
    const detail = await host.ask('peaks', { file: recording.file, start: from, end: to, columns, channel }).answer;
    isDetailOnItsWay = false;
    if (mine !== round || channel !== store.get().channel) return store.requestFrame();
    if (detail !== null) return store.update({ detail });
    const name = decodeURIComponent(recording.file.slice(recording.file.lastIndexOf('/') + 1));
    return store.update({ recording: null, soundWords: `${name} can't be read any more. Is its disk still there?` });
  };

  const giveFile = async (role: 'picture' | 'sound'): Promise<string | null> => {
    const file = await given.choose(role);
    if (file === null) return null;
    const uri = await host.ask('give', { name: file.name, size: file.size }).answer;
    if (uri !== null) given.keep(uri, file);
    return uri;
  };

  return {
    camera: () => camera,
    shelf: () => shelf,
    round: () => round,
    chosen: () => chosen,
    start,
    stopSearch: () => stopSearch?.(),
    searchAll,
    loadOverview,
    peaksFor: (view, width) => {
      const { detail, overview } = store.get();
      if (overview !== null && isFineEnough(overview, view, width)) return overview;
      const isSeen = detail !== null && detail.end > view.start && detail.start < view.end;
      return isSeen ? detail : overview;
    },
    askForDetail: (view, width) => {
      const { recording, detail, overview } = store.get();
      if (recording === null || width < 60 || isDetailOnItsWay || detailTimer !== undefined) return;
      if (overview !== null && isFineEnough(overview, view, width)) return;
      if (detail !== null && covers(detail, view, recording.facts.sampleCount) && isResolved(detail, view, width)) return;
      detailTimer = setTimeout(() => {
        detailTimer = undefined;
        void loadDetail(width);
      }, DETAIL_PAUSE_MS);
    },
    choose: async (role, isGiven) => {
      const { subject } = store.get();
      if (subject === null) return false;
      const { key, names } = role === 'sound' ? subject.sound : subject.picture;
      const file = isGiven ? await giveFile(role) : await host.ask('choose', { role, name: names[0] ?? key }).answer;
      if (file !== null) chosen[`${role} ${key}`] = file;
      return file !== null;
    },
  };
}

/** Exact columns of the whole are all that a wide view needs. */
function isFineEnough(overview: PagePeaks, view: DeskView, width: number): boolean {
  return !overview.isSparse && samplesPerColumn(overview) <= (1.5 * (view.end - view.start)) / Math.max(1, width);
}

/** One sample a column is as fine as it gets. */
function isResolved(detail: PagePeaks, view: DeskView, width: number): boolean {
  return samplesPerColumn(detail) <= Math.max(1, (1.01 * (view.end - view.start)) / width);
}

function covers({ start, end }: PagePeaks, view: DeskView, sampleCount: number): boolean {
  return start <= Math.max(0, Math.floor(view.start)) && end >= Math.min(sampleCount, Math.ceil(view.end));
}

function samplesPerColumn({ start, end, lows }: PagePeaks): number {
  return (end - start) / Math.max(1, lows.length);
}

function rateWords({ name, recording }: PageMedia, { sampleRate }: Subject): string {
  if (recording === null || compare(rational(recording.sampleRate), sampleRate) === 0) return '';
  return `${name} has ${recording.sampleRate} samples per second, and the report counts ${toNumber(sampleRate)}: its samples are not the report's, and nothing can be written until one of the two is put right.`;
}

function heardWords(count: number, remarks: readonly string[], unlistedCount: number): string {
  const claps =
    count === 0
      ? 'No clap was found in the recording. Look through it, and put the edge by hand: Shift+click, or E.'
      : count === 1
        ? 'One clap was heard.'
        : `${count} claps were heard.`;
  const more = unlistedCount === 0 ? '' : `${unlistedCount} more sharp sounds were passed over.`;
  return [claps, ...remarks, more].filter((words) => words !== '').join(' ');
}
