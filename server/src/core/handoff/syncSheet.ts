/**
 * The sync sheet as plain data: what the person at the mix has to know of a cut, worded once for page and table alike.
 *
 * Nothing is called in sync that was not compared: a clip without a comparison says why there is none.
 */

import { isUnread } from '../alignment/lookup.ts';
import { durationInSeconds, formatTolerance } from '../alignment/tolerance.ts';
import type { Audit } from '../audit.ts';
import { formatFor } from '../formats/formatFor.ts';
import type { Verdict } from '../rules/comparison.ts';
import type { Finding } from '../rules/finding.ts';
import { groupBy } from '../rules/groupBy.ts';
import { amountOfTime, countOf, listInWords } from '../text/words.ts';
import { equals, formatRational, type Rational, rational } from '../time/rational.ts';
import { clockText, rateText } from '../views/timeText.ts';
import { frameLabel, type PopReport, popReport } from './popWords.ts';
import { frameAt } from './programme.ts';
import type { PulledRecording, PulledTimeline } from './pullList.ts';
import { type SheetClip, sheetClips } from './sheetClips.ts';

export interface SheetInput {
  readonly timeline: PulledTimeline;
  /** Which reports were used and why, or why none was; a sentence. */
  readonly reportReason: string;
  /** Where the tolerance comes from, as a phrase. */
  readonly toleranceSource: string;
  /** What handles were asked for and by whom: '2s, from --handles'. */
  readonly handlesAsked: string;
  /** First frame of the programme as somebody said it, from the timeline's first instant. */
  readonly programmeStart: number | null;
  /** The part of the pull list that this timeline uses. */
  readonly recordings: readonly PulledRecording[];
  readonly reels: readonly SheetReel[];
  readonly missing: readonly string[];
  /** Who made it, when, with which words: for the foot of the page. */
  readonly made: string;
  readonly command: string;
}

export interface SyncSheet {
  /** The timeline's own name, else that of its file. */
  readonly title: string;
  readonly path: string;
  readonly summary: readonly SheetFact[];
  readonly pops: PopReport | null;
  readonly counts: Readonly<Record<Verdict, number>>;
  /** One line that sums up: '18 comparisons: 9 in, 4 lead ...'. */
  readonly headline: string;
  readonly clips: readonly SheetClip[];
  readonly recordings: readonly PulledRecording[];
  readonly reels: readonly SheetReel[];
  /** What was asked for and could not be made or found, in sentences. */
  readonly missing: readonly string[];
  /** Errors and warnings that nobody accepted, with where they stand. */
  readonly open: readonly OpenFinding[];
  readonly accepted: readonly AcceptedException[];
  readonly made: string;
  readonly command: string;
}

export interface SheetReel {
  /** Within the hand-off. */
  readonly path: string;
  /** 'cam-a-01 with deck-01'. */
  readonly of: string;
  /** Timecode of its first sample. */
  readonly start: string;
  readonly length: string;
  readonly samples: string;
  /** How it came about, in sentences. */
  readonly how: string;
}

export interface SheetFact {
  readonly label: string;
  readonly text: string;
}

export interface OpenFinding {
  readonly code: string;
  readonly severity: Finding['severity'];
  readonly message: string;
  /** Null when it stands on no clip. */
  readonly clip: FindingPlace | null;
}

export interface AcceptedException {
  readonly code: string;
  readonly reason: string;
  readonly message: string;
  readonly clip: FindingPlace | null;
}

/** The clip a finding stands on, as the sheet names it. */
export type FindingPlace = Pick<SheetClip, 'number' | 'track' | 'recordIn'>;

const USUAL_SAMPLE_RATE = rational(48000);

export function syncSheet(input: SheetInput): SyncSheet {
  const { timeline: handed, recordings } = input;
  const { audit } = handed;
  const { timeline } = audit;
  const clips = sheetClips(audit, recordings);
  const clipAt = new Map(clips.map((clip) => [clip.index, clip]));
  const placeOf = ({ clips: about }: Finding): FindingPlace | null => clipAt.get(about[0] ?? -1) ?? null;
  const counts = { in: 0, leads: 0, lags: 0, drifts: 0 };
  for (const { verdict } of audit.comparisons) counts[verdict] += 1;
  const pops = popReport(timeline, input.programmeStart, commonSampleRate(recordings));
  return {
    title: timeline.name === '' ? handed.path : timeline.name,
    path: handed.path,
    summary: summaryOf(input, pops),
    pops,
    counts,
    headline: headline(audit, counts),
    clips,
    recordings,
    reels: input.reels,
    missing: input.missing,
    open: audit.findings
      .filter(({ severity }) => severity !== 'information')
      .map((finding) => ({
        code: finding.code,
        severity: finding.severity,
        message: finding.message,
        clip: placeOf(finding),
      })),
    accepted: audit.accepted.map(({ finding, reason }) => ({
      code: finding.code,
      reason,
      message: finding.message,
      clip: placeOf(finding),
    })),
    made: input.made,
    command: input.command,
  };
}

/** '18 pictures with sound: 9 in, 4 lead, 4 lag, 1 drifts'; why nothing was compared, when nothing was. */
function headline({ comparisons, input }: Audit, counts: SyncSheet['counts']): string {
  const total = comparisons.length;
  if (total === 0) {
    if (input.reports.length === 0) return 'Nothing was compared: there is no alignment report.';
    return input.reports.every(isUnread)
      ? 'Nothing was compared: nothing can be read of the alignment report.'
      : 'Nothing was compared: no picture of the report stands over sound of its pair.';
  }
  const words: Readonly<Record<Verdict, readonly [string, string]>> = {
    in: ['in', 'in'],
    leads: ['leads', 'lead'],
    lags: ['lags', 'lag'],
    drifts: ['drifts', 'drift'],
  };
  const parts = (Object.keys(words) as Verdict[])
    .filter((verdict) => counts[verdict] > 0)
    .map((verdict) => `${counts[verdict]} ${words[verdict][counts[verdict] === 1 ? 0 : 1]}`);
  return `${total} ${total === 1 ? 'picture' : 'pictures'} with sound: ${listInWords(parts)}`;
}

function summaryOf(input: SheetInput, pops: PopReport | null): readonly SheetFact[] {
  const { audit, handles, path } = input.timeline;
  const { timeline } = audit;
  const label = frameLabel(timeline);
  const last = Math.max(0, frameAt(timeline, timeline.duration) - 1);
  const counting = timeline.isDropFrame ? 'drop-frame' : 'non-drop-frame';
  const { tolerance } = audit.input.settings;
  const isInFrames = tolerance.lag.unit === 'f' || tolerance.lead.unit === 'f';
  const frames = isInFrames
    ? `; one frame is ${amountOfTime(durationInSeconds({ value: rational(1), unit: 'f' }, timeline.rate, timeline.rate))} here`
    : '';
  return [
    { label: 'Timeline', text: `${path}, ${formatFor(timeline.format).title}` },
    { label: 'Frame rate', text: `${rateText(timeline.rate)} frames per second, ${counting}: ${timeline.rateReason}` },
    {
      label: 'Record',
      text: `${label(0)} to ${label(last)}, first and last frame; ${clockText(timeline.duration)} long${timeline.startFrame === null ? '. The file does not say where its timecode starts, so it is counted from zero' : ''}`,
    },
    { label: 'Programme', text: pops?.programme ?? 'There is no picture, so where the programme begins is not known.' },
    { label: 'Sync pop', text: pops?.head ?? 'not known' },
    { label: 'Tail pop', text: pops?.tail ?? 'not known' },
    { label: 'Sample rates', text: sampleRates(audit, input.recordings) },
    {
      label: 'Handles',
      text: `${input.handlesAsked}: ${countOf(rational(handles.frames), 'frame')}, ${amountOfTime(handles.seconds)}`,
    },
    { label: 'Report', text: input.reportReason },
    { label: 'Tolerance', text: `${formatTolerance(tolerance)}${frames}; ${input.toleranceSource}` },
    { label: 'Findings', text: findingsInWords(audit) },
  ];
}

function findingsInWords({ findings, accepted }: Audit): string {
  const count = (severity: Finding['severity']): number => findings.filter((finding) => finding.severity === severity).length;
  const parts = [
    ...counted(count('error'), 'error'),
    ...counted(count('warning'), 'warning'),
    ...(count('information') === 0 ? [] : [`${count('information')} for information`]),
  ];
  const open = parts.length === 0 ? 'none open' : `${listInWords(parts)} open`;
  return accepted.length === 0 ? open : `${open}; ${accepted.length} accepted with a reason`;
}

function counted(count: number, word: string): readonly string[] {
  return count === 0 ? [] : [countOf(rational(count), word)];
}

/** '48 kHz (8 recordings)', and what differs between file and report. */
function sampleRates({ findings }: Audit, recordings: readonly PulledRecording[]): string {
  if (recordings.length === 0) return 'no recording is used';
  const known = recordings.flatMap(({ sampleRate }) => (sampleRate === null ? [] : [sampleRate]));
  const rates = [...groupBy(known, formatRational).values()];
  const count = (recordingCount: number): string => countOf(rational(recordingCount), 'recording');
  const words = rates.map((alike) => `${rateText(alike[0] as Rational)} (${count(alike.length)})`);
  const unknown = recordings.length - known.length;
  if (unknown > 0) words.push(`not known (${count(unknown)})`);
  const disagreeing = recordings.filter(
    ({ sound, found }) =>
      found?.kind === 'found' && sound !== null && !equals(sound.sampleRate, rational(found.facts.sampleRate)),
  );
  const isMiscounted = findings.some(({ code }) => code === 'sample-rate-mismatch');
  return [
    listInWords(words),
    ...(rates.length > 1 ? ['they differ, so agree on one with the mix'] : []),
    ...(disagreeing.length > 0 ? [`file and report disagree for ${listInWords(disagreeing.map(({ name }) => name))}`] : []),
    isMiscounted ? 'the timeline counts some at another rate, see the findings' : 'no pull-up or pull-down is known of',
  ].join('; ');
}

function commonSampleRate(recordings: readonly PulledRecording[]): Rational {
  const known = recordings.flatMap(({ sampleRate }) => (sampleRate === null ? [] : [sampleRate]));
  const largest = [...groupBy(known, formatRational).values()].sort((left, right) => right.length - left.length)[0];
  return largest?.[0] ?? USUAL_SAMPLE_RATE;
}
