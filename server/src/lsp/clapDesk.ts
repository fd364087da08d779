/**
 * The clap desk: what an alignment report says, the recordings it names, and the edit that puts a pair into it.
 *
 * Every request stands by itself. A recording is opened for it, read by ranges and closed again, so that nothing is held open while a
 * person thinks, and a card can be pulled. No program is started.
 */

import type { CancellationToken, Connection } from 'vscode-languageserver';
import { comparableName, fileNamesOfUrl, withoutExtension } from '../core/alignment/mediaNames.ts';
import type { AlignmentReport } from '../core/alignment/model.ts';
import { readReport } from '../core/alignment/readReport.ts';
import { updatePair } from '../core/alignment/updatePair.ts';
import { parseRational, type Rational, sign, ZERO } from '../core/time/rational.ts';
import { deskReport, pairAt } from '../core/views/clapDesk.ts';
import { chosenMedia, findMedia } from '../project/desk/findMedia.ts';
import { nameOf, parentOf, relativeTo, resolveFrom } from '../project/paths.ts';
import type { Peaks } from '../sound/peaks/readPeaks.ts';
import { reportOf } from './auditedDocument.ts';
import { base64OfBytes } from './base64.ts';
import {
  CLAP_DESK_CLAPS_REQUEST,
  CLAP_DESK_MEDIA_REQUEST,
  CLAP_DESK_PEAKS_REQUEST,
  CLAP_DESK_PROGRESS_NOTIFICATION,
  CLAP_DESK_REPORTS_REQUEST,
  CLAP_DESK_REQUEST,
  CLAP_DESK_SOUND_REQUEST,
  CLAP_DESK_WRITE_REQUEST,
  type DeskAnswer,
  type DeskChange,
  type DeskClapsAnswer,
  type DeskClapsParams,
  type DeskMediaAnswer,
  type DeskMediaParams,
  type DeskParams,
  type DeskPeaksAnswer,
  type DeskPeaksParams,
  type DeskReportLink,
  type DeskReportsAnswer,
  type DeskSoundAnswer,
  type DeskSoundParams,
  type DeskWriteParams,
} from './clapDeskMessages.ts';
import { workspaceEditOf } from './edits.ts';
import { type LifeCycle, refuseIfCancelled } from './lifeCycle.ts';
import type { EditAnswer } from './messages.ts';
import { spanOf } from './positions.ts';
import type { Session } from './session.ts';
import { tell } from './tell.ts';

/** Samples of one answer for listening: half a minute at 192 kHz. */
const MOST_SOUND_SAMPLES = 6_000_000;
const MOST_COLUMNS = 20_000;
const NO_ENGINE =
  'The part that reads sound could not be loaded; the log of Afterclap says why. Choose the recording again to try again.';
/** Folders above a recording in which its report is looked for. */
const FOLDERS_UPWARDS = 3;

export function bindClapDesk(connection: Connection, { request }: LifeCycle, session: () => Session): void {
  connection.onRequest(
    CLAP_DESK_REQUEST,
    request('The clap desk', (params: DeskParams) => deskAnswer(session(), params)),
  );
  connection.onRequest(
    CLAP_DESK_REPORTS_REQUEST,
    request('Looking for the report of a recording', ({ uri }: { readonly uri: string }) => reportsNaming(session(), uri)),
  );
  connection.onRequest(
    CLAP_DESK_MEDIA_REQUEST,
    request('Looking for a recording', (params: DeskMediaParams) => mediaAnswer(session(), params)),
  );
  connection.onRequest(
    CLAP_DESK_PEAKS_REQUEST,
    request('Drawing a recording', (params: DeskPeaksParams) => peaksAnswer(session(), params)),
  );
  connection.onRequest(
    CLAP_DESK_SOUND_REQUEST,
    request('Reading a recording', (params: DeskSoundParams) => soundAnswer(session(), params)),
  );
  connection.onRequest(
    CLAP_DESK_CLAPS_REQUEST,
    request('Looking for claps', (params: DeskClapsParams, token: CancellationToken) =>
      clapsAnswer(session(), connection, params, token),
    ),
  );
  connection.onRequest(
    CLAP_DESK_WRITE_REQUEST,
    request('Writing a pair', (params: DeskWriteParams) => writeEdit(session(), params)),
  );
}

async function deskAnswer(session: Session, { uri, position }: DeskParams): Promise<DeskAnswer | null> {
  const document = await session.workspace.document(session, uri);
  const report = document === null ? null : reportOf(document);
  if (document === null || report === null) return null;
  const at = position === null ? null : spanOf(document.index, { start: position, end: position }, session.abilities.columnUnit);
  return {
    uri,
    version: document.version,
    report: deskReport(report),
    pairAtCaret: at === null ? null : pairAt(report, at.start),
  };
}

async function reportsNaming(session: Session, uri: string): Promise<DeskReportsAnswer> {
  const { files } = session.workspace;
  const name = nameOf(uri);
  const found: DeskReportLink[] = [];
  const others: string[] = [];
  let folder = parentOf(uri);
  const top = folder;
  for (let step = 0; folder !== null && step < FOLDERS_UPWARDS; step += 1) {
    const listing = await files.list(folder);
    const names = listing.ok ? listing.entries.filter((entry) => !entry.isFolder).map((entry) => entry.name) : [];
    for (const reportName of names.filter((one) => one.toLowerCase().endsWith('.alignment.json')).sort()) {
      const place = resolveFrom(folder, reportName);
      const text = await files.readText(place);
      const entry = text.ok ? entryNamed(readReport(reportName, text.text), name) : null;
      const label = relativeTo(top ?? folder, place);
      if (entry === null) others.push(label);
      else found.push({ uri: place, label, ...entry });
    }
    folder = parentOf(folder);
  }
  if (found.length > 0) return { reports: found, words: '' };
  const measure = 'Measure the folder first, or write the recording into a report.';
  const words =
    others.length === 0
      ? `There is no alignment report beside ${name} or in the folders above it. ${measure}`
      : `${others.join(', ')} ${others.length === 1 ? 'does' : 'do'} not name ${name}. ${measure}`;
  return { reports: [], words };
}

function entryNamed({ sounds, pictures }: AlignmentReport, name: string): Pick<DeskReportLink, 'role' | 'key'> | null {
  const wanted = comparableName(name);
  const isNamed = ({ key, names }: { readonly key: string; readonly names: readonly { readonly text: string }[] }): boolean =>
    [key, ...names.flatMap(({ text }) => fileNamesOfUrl(text))].some(
      (one) => comparableName(one) === wanted || comparableName(one) === withoutExtension(wanted),
    );
  const sound = sounds.find(isNamed);
  if (sound !== undefined) return { role: 'sound', key: sound.key };
  const picture = pictures.find(isNamed);
  return picture === undefined ? null : { role: 'picture', key: picture.key };
}

async function mediaAnswer(session: Session, params: DeskMediaParams): Promise<DeskMediaAnswer> {
  const found =
    params.file === null ? await findMedia(session.workspace.files, params.uri, params) : chosenMedia(params.file, params);
  const name = found.path === null ? (params.names[0] ?? params.key) : nameOf(found.path);
  if (found.path === null || params.role === 'picture') {
    return { file: found.path, name, words: found.words, recording: null };
  }
  const recordings = await session.recordings().catch((error: unknown) => {
    session.warn(`The sound engine could not be loaded: ${error instanceof Error ? error.message : String(error)}`);
    return null;
  });
  if (recordings === null) return { file: null, name, words: NO_ENGINE, recording: null };
  const facts = await recordings.facts(found.path);
  if (!facts.ok) return { file: null, name, words: `${name} ${ended(facts.reason)}`, recording: null };
  const { sampleRate, sampleCount, channelCount, remarks } = facts;
  const words = [found.words, ...remarks].filter((sentence) => sentence !== '').join(' ');
  return { file: found.path, name, words, recording: { sampleRate, sampleCount, channelCount } };
}

async function peaksAnswer(session: Session, { file, columns, ...rest }: DeskPeaksParams): Promise<DeskPeaksAnswer | null> {
  const peaks = await (await session.recordings()).peaks(file, { ...rest, columns: Math.min(columns, MOST_COLUMNS) });
  return peaks === null ? null : wirePeaks(peaks);
}

async function soundAnswer(session: Session, { file, start, count, channel }: DeskSoundParams): Promise<DeskSoundAnswer | null> {
  const first = Math.max(0, Math.floor(start));
  const wanted = Math.max(0, Math.min(Math.floor(count), MOST_SOUND_SAMPLES));
  const samples = await (await session.recordings()).sound(file, first, wanted, channel);
  return samples === null ? null : { start: first, samples: base64Of(samples) };
}

async function clapsAnswer(
  session: Session,
  connection: Connection,
  { file, range, id, columns }: DeskClapsParams,
  token: CancellationToken,
): Promise<DeskClapsAnswer | null> {
  let told = 0;
  const found = await (await session.recordings()).claps(file, {
    range,
    columns: Math.min(columns, MOST_COLUMNS),
    isCancelled: () => token.isCancellationRequested,
    onProgress: (share) => {
      if (share - told < 0.01) return;
      told = share;
      tell(connection.sendNotification(CLAP_DESK_PROGRESS_NOTIFICATION, { id, share }));
    },
  });
  refuseIfCancelled(token);
  if (found === null) return null;
  const { candidates, remarks, unlistedCount, peaks } = found;
  return {
    claps: candidates.map(({ sample, edgeUncertainty, channel, verdict, reason }) => ({
      sample,
      uncertainty: edgeUncertainty,
      channel,
      isClap: verdict === 'clap',
      reason,
    })),
    remarks,
    unlistedCount,
    peaks: peaks === null ? null : wirePeaks(peaks),
  };
}

async function writeEdit(session: Session, { uri, version, change }: DeskWriteParams): Promise<EditAnswer> {
  const document = session.store.get(uri);
  const report = document === null ? null : reportOf(document);
  if (document === null || report === null) return refusal('The report is not open; nothing was written.');
  const known = change.pair === null ? null : report.pairs[change.pair];
  const isOther =
    known === undefined || (known !== null && !(known.picture.key === change.picture && known.sound.key === change.sound));
  if (document.version !== version || isOther) {
    return refusal('The report changed while you looked at it. Look again, then write.');
  }
  const numbers = numbersOf(change);
  if (numbers === null) return refusal('What was to be written is no place in a file; nothing was written.');
  const { frame, sample, uncertainty } = numbers;
  const result = updatePair(
    report,
    {
      picture: null,
      sound: null,
      pair: {
        picture: change.picture,
        sound: change.sound,
        frame,
        sample,
        driftPpm: known?.driftPpm ?? ZERO,
        uncertainty,
        by: change.by,
        clap: change.clap,
        note: null,
      },
    },
    known,
  );
  if (!result.ok) return refusal(`Nothing was written: ${result.reason}`);
  if (result.edits.length === 0) return refusal('The report says so already; nothing was changed.');
  return { edit: workspaceEditOf(document, result.edits, session.abilities), message: '' };
}

interface WrittenNumbers {
  readonly frame: Rational;
  readonly sample: Rational;
  readonly uncertainty: { readonly early: Rational; readonly late: Rational } | null;
}

/** Exact numbers as they came over the wire; null for anything else, and for an uncertainty or a sample below 0. */
function numbersOf(change: DeskChange): WrittenNumbers | null {
  const frame = parseRational(change.frame);
  const sample = parseRational(change.sample);
  if (frame === null || sample === null || sign(sample) < 0) return null;
  if (change.early === null || change.late === null) return { frame, sample, uncertainty: null };
  const early = parseRational(change.early);
  const late = parseRational(change.late);
  if (early === null || late === null || sign(early) < 0 || sign(late) < 0) return null;
  return { frame, sample, uncertainty: { early, late } };
}

function refusal(message: string): EditAnswer {
  return { edit: null, message };
}

function wirePeaks({ start, end, lows, highs, isSparse }: Peaks): DeskPeaksAnswer {
  return { start, end, lows: base64Of(lows), highs: base64Of(highs), isSparse };
}

function ended(sentence: string): string {
  return sentence.endsWith('.') ? sentence : `${sentence}.`;
}

function base64Of({ buffer, byteOffset, byteLength }: Float32Array): string {
  return base64OfBytes(new Uint8Array(buffer, byteOffset, byteLength));
}
