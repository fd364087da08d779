/**
 * Completion: what can be written at a place, by the words before the caret. Small on purpose: only what the reader knows.
 *
 * The text before the caret decides, never a parsed tree, since the text is broken while somebody types.
 */

import { GRIDS, SEVERITIES } from '../alignment/settingsSchema.ts';
import { NAMED_TOLERANCES } from '../alignment/tolerance.ts';
import { FINDING_CODES } from '../rules/finding.ts';
import type { Span } from '../text/span.ts';

export interface Choice {
  readonly text: string;
  /** What it is, in a few words. */
  readonly detail: string;
}

export interface Completion {
  /** What was typed already: it is replaced. */
  readonly span: Span;
  readonly choices: readonly Choice[];
}

/** What the workspace knows that can be named. */
export interface Names {
  /** Files, as reports and timelines call them. */
  readonly media: readonly Choice[];
  readonly pictures: readonly Choice[];
  readonly sounds: readonly Choice[];
}

/** Rates as pictures have them (SMPTE ST 12-1 and ST 428-11 counts), as a fraction and as the neutral XML writes them. */
const FRAME_RATES: readonly (readonly [numerator: number, denominator: number, label: string])[] = [
  [24000, 1001, '23.976 frames per second'],
  [24, 1, '24 frames per second'],
  [25, 1, '25 frames per second'],
  [30000, 1001, '29.97 frames per second'],
  [30, 1, '30 frames per second'],
  [48, 1, '48 frames per second'],
  [50, 1, '50 frames per second'],
  [60000, 1001, '59.94 frames per second'],
  [60, 1, '60 frames per second'],
];
const SAMPLE_RATES: readonly Choice[] = ['48000', '96000', '44100', '88200', '192000'].map((text) => ({
  text,
  detail: `${Number(text) / 1000} kHz`,
}));

/** Nothing further back than this decides. */
const LONGEST_LOOK = 2000;

export function xmlCompletionAt(text: string, offset: number, { media }: Names): Completion | null {
  const before = text.slice(Math.max(0, offset - LONGEST_LOOK), offset);
  const inside = /<([\w:]+)(?:\s[^<>]*)?>([^<>]*)$/.exec(before);
  const attribute = /<Track\b[^<>]*\skind="([^"<>]*)$/.exec(before)?.[1] ?? /<\w+\b[^<>]*\senabled="([^"<>]*)$/.exec(before)?.[1];
  if (attribute !== undefined) {
    const isKind = /\skind="[^"]*$/.test(before);
    return replacing(
      offset,
      attribute,
      isKind ? plain(['Video', 'Audio'], 'kind of track') : plain(['true', 'false'], 'on or off'),
    );
  }
  if (inside === null) return null;
  const [, name, typed] = inside as unknown as readonly [string, string, string];
  switch (name) {
    case 'EditRate':
      return replacing(offset, typed, [
        ...FRAME_RATES.map(([numerator, denominator, detail]) => ({ text: `${numerator} ${denominator}`, detail })),
        ...SAMPLE_RATES.map(({ text: rate, detail }) => ({ text: `${rate} 1`, detail })),
      ]);
    case 'TargetUrl':
      return replacing(offset, typed.slice(typed.lastIndexOf('/') + 1), media);
    case 'TrackFileId':
      return replacing(offset, typed, referencesIn(text));
    case 'TimecodeDropFrame':
      return replacing(offset, typed, [
        { text: '0', detail: 'every label is used' },
        { text: '1', detail: 'labels are skipped, at 29.97 and 59.94' },
      ]);
    default:
      return null;
  }
}

export function reportCompletionAt(text: string, offset: number, { media, pictures, sounds }: Names): Completion | null {
  const before = text.slice(Math.max(0, offset - LONGEST_LOOK), offset);
  const name = /"names"\s*:\s*\[(?:\s*"(?:[^"\\]|\\.)*"\s*,)*\s*"([^"]*)$/.exec(before)?.[1];
  if (name !== undefined) return replacing(offset, name, media);
  const member = /"(\w+)"\s*:\s*("?)([^"\s,{}[\]]*)$/.exec(before);
  if (member === null) return null;
  const [, key, quote, typed] = member as unknown as readonly [string, string, string, string];
  const quoted = (choices: readonly Choice[]): Completion =>
    replacing(offset, typed, quote === '' ? choices.map(({ text: value, detail }) => ({ text: `"${value}"`, detail })) : choices);
  switch (key) {
    case 'picture':
      return quoted(pictures);
    case 'sound':
      return quoted(sounds);
    case 'rate':
      return quoted(FRAME_RATES.map(([numerator, denominator, detail]) => ({ text: `${numerator}/${denominator}`, detail })));
    case 'sampleRate':
      return quote === '' ? replacing(offset, typed, SAMPLE_RATES) : null;
    case 'by':
      return quoted([
        { text: 'clap', detail: 'frame seen by eye, edge found in the sound' },
        { text: 'waveform', detail: 'scratch compared with the recording' },
        { text: 'timecode', detail: 'both stamps' },
        { text: 'eye', detail: 'both by eye' },
      ]);
    default:
      return null;
  }
}

/** For editors without JSON Schemas; the schema says more where there is one. */
export function settingsCompletionAt(text: string, offset: number): Completion | null {
  const before = text.slice(Math.max(0, offset - LONGEST_LOOK), offset);
  const codes = plain(FINDING_CODES, 'finding code');
  const severity = /"rules"\s*:\s*\{[^{}]*"[\w-]+"\s*:\s*"([\w-]*)$/.exec(before)?.[1];
  if (severity !== undefined) return replacing(offset, severity, plain(SEVERITIES, 'severity'));
  const rule = /"rules"\s*:\s*\{(?:[^{}"]|"[^"]*")*?"([\w-]*)$/.exec(before)?.[1];
  if (rule !== undefined) return replacing(offset, rule, codes);
  const member = /"(\w+)"\s*:\s*"([^"]*)$/.exec(before);
  if (member === null) return null;
  const [, key, typed] = member as unknown as readonly [string, string, string];
  switch (key) {
    case 'code':
      return replacing(offset, typed, codes);
    case 'tolerance':
      return replacing(
        offset,
        typed,
        NAMED_TOLERANCES.map(({ tolerance, title }) => ({ text: tolerance.name as string, detail: title })),
      );
    case 'grid':
      return replacing(offset, typed, plain(GRIDS, 'steps in which a fix may land'));
    case 'edlRate':
      return replacing(
        offset,
        typed,
        FRAME_RATES.map(([numerator, denominator, detail]) => ({ text: `${numerator}/${denominator}`, detail })),
      );
    default:
      return null;
  }
}

function referencesIn(text: string): readonly Choice[] {
  const ids = [...text.matchAll(/<ExternalReference>\s*<Id>([^<]{1,200})<\/Id>/g)].map((match) => match[1] as string);
  return plain([...new Set(ids)], 'media of this timeline');
}

function plain(texts: readonly string[], detail: string): readonly Choice[] {
  return texts.map((text) => ({ text, detail }));
}

function replacing(offset: number, typed: string, choices: readonly Choice[]): Completion {
  return { span: { start: offset - typed.length, end: offset }, choices };
}
