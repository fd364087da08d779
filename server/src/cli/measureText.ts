/**
 * A measurement as tables for a person at a terminal: what was heard in each sound, what belongs together and how surely, and what was
 * left over or refused, and why.
 */

import type { Painter } from '../core/report/painter.ts';
import { visibleText } from '../core/report/visibleText.ts';
import { wrapText } from '../core/report/wrapText.ts';
import { rateLabel } from '../core/time/rate.ts';
import { divide, toNumber } from '../core/time/rational.ts';
import { formatTimecode } from '../core/time/timecode.ts';
import {
  clockText,
  driftText,
  lengthText,
  methodText,
  numberText,
  offsetText,
  uncertaintyText,
} from '../project/measure/measuredWords.ts';
import type { LeftOver, MeasuredPair, MeasuredPicture, MeasuredSound, Measurement } from '../project/measure/measurement.ts';

export interface MeasureTextOptions {
  readonly width: number;
  readonly painter: Painter;
}

/** Refused sounds shown for each recording: the ones that came nearest to being a clap. */
const MOST_REFUSED_SHOWN = 4;
const LABEL_WIDTH = 13;

export function renderMeasurement(measurement: Measurement, options: MeasureTextOptions): string {
  const blocks = [
    section('Sounds', measurement.sounds, (sound) => soundLines(sound, options), options),
    section('Pictures', measurement.pictures, (picture) => pictureLines(picture, options), options),
    section('Pairs', measurement.pairs, (pair) => pairLines(pair, measurement, options), options),
    section('Left over', measurement.leftOver, (left) => leftOverLines(left, options), options),
  ];
  return blocks.filter((block) => block !== '').join('\n');
}

function section<Item>(
  title: string,
  items: readonly Item[],
  linesOf: (item: Item) => readonly string[],
  { painter }: MeasureTextOptions,
): string {
  if (items.length === 0) return '';
  return `${[painter.strong(title), ...items.flatMap(linesOf)].join('\n')}\n`;
}

function soundLines(sound: MeasuredSound, options: MeasureTextOptions): readonly string[] {
  const { reading, data } = sound;
  const rate = toNumber(data.sampleRate);
  const stamp = data.startSample === null ? [] : [`starts ${clockText(toNumber(divide(data.startSample, data.sampleRate)))}`];
  const facts = [`${rate} Hz`, count(sound.channelCount, 'channel'), lengthText(sound.seconds), ...stamp];
  const claps = reading.candidates.filter(({ verdict }) => verdict === 'clap');
  const refused = reading.candidates.filter(({ verdict }) => verdict === 'refused');
  const nearest = refused.toSorted((left, right) => right.score - left.score).slice(0, MOST_REFUSED_SHOWN);
  const shown = [...claps, ...nearest].toSorted((left, right) => left.sample - right.sample);
  const unshown = refused.length - nearest.length + reading.unlistedCount;
  const lines = [`  ${options.painter.place(visibleText(sound.name))}  ${facts.join(', ')}`];
  if (claps.length === 0) lines.push('    no clap was found');
  for (const candidate of shown) {
    const name = candidate.verdict === 'clap' ? `clap ${claps.indexOf(candidate) + 1}` : 'refused';
    const numbers = `${name.padEnd(9)} ${clockText(candidate.sample / rate).padStart(11)}  sample ${String(candidate.sample).padEnd(10)} score ${candidate.score.toFixed(2)}  ${candidate.position}`;
    lines.push(`    ${candidate.verdict === 'clap' ? options.painter.strong(numbers) : numbers}`);
    lines.push(...paragraph(candidate.reason, 14, options));
  }
  if (unshown > 0)
    lines.push(
      ...paragraph(
        `${count(unshown, 'further sharp sound')} refused: farther from a clap, or part of speech or of a series.`,
        4,
        options,
      ),
    );
  return [...lines, ...remarkLines([...sound.remarks, ...reading.remarks], options)];
}

function pictureLines({ name, data, path, scratch, remarks }: MeasuredPicture, options: MeasureTextOptions): readonly string[] {
  const facts = [`${rateLabel(data.rate)} frames per second`];
  if (data.frameCount !== null) facts.push(count(Number(data.frameCount.numerator), 'frame'));
  if (data.startFrame !== null)
    facts.push(`starts ${formatTimecode(Number(data.startFrame.numerator), data.rate, data.isDropFrame)}`);
  if (scratch !== null)
    facts.push(`its own sound ${scratch.seconds === null ? '' : `${lengthText(scratch.seconds)} `}at ${scratch.sampleRate} Hz`);
  if (path === null) facts.push('known from the clap log only');
  return [`  ${options.painter.place(visibleText(name))}  ${facts.join(', ')}`, ...remarkLines(remarks, options)];
}

function pairLines(pair: MeasuredPair, { pictures, sounds }: Measurement, options: MeasureTextOptions): readonly string[] {
  const { data } = pair;
  const picture = pictures.find((candidate) => candidate.data.key === data.picture);
  const sound = sounds.find((candidate) => candidate.data.key === data.sound);
  if (picture === undefined || sound === undefined) return [];
  const place = clockText(toNumber(divide(data.sample, sound.data.sampleRate)));
  const rows: readonly (readonly [string, string])[] = [
    ['at', `start of frame ${numberText(data.frame)} = sample ${numberText(data.sample)} (${place})`],
    ['offset', offsetText(data, picture.data, sound.data)],
    ['drift', driftText(data)],
    ['uncertainty', uncertaintyText(data)],
    ['how sure', `${pair.confidence.toFixed(2)} of 1`],
    ['by', methodText(data)],
    ...pair.remarks.map((remark, index): readonly [string, string] => [index === 0 ? 'remarks' : '', remark]),
  ];
  const head = `  ${options.painter.place(visibleText(picture.name))} with ${options.painter.place(visibleText(sound.name))}`;
  return [head, ...rows.flatMap(([label, text]) => labelled(label, text, options))];
}

function leftOverLines({ severity, name, reason }: LeftOver, options: MeasureTextOptions): readonly string[] {
  const word = options.painter.severity(severity, severity);
  return [`  ${options.painter.place(visibleText(name))}: ${word}`, ...paragraph(reason, 4, options)];
}

function remarkLines(remarks: readonly string[], options: MeasureTextOptions): readonly string[] {
  return remarks.flatMap((remark) => labelled('note', remark, options));
}

function labelled(label: string, text: string, options: MeasureTextOptions): readonly string[] {
  const [first = '', ...rest] = wrapText(visibleText(text), Math.max(40, options.width - LABEL_WIDTH - 4));
  return [
    `    ${options.painter.faint(label.padEnd(LABEL_WIDTH))}${first}`,
    ...rest.map((line) => ' '.repeat(LABEL_WIDTH + 4) + line),
  ];
}

function paragraph(text: string, indent: number, { width }: MeasureTextOptions): readonly string[] {
  return wrapText(visibleText(text), Math.max(40, width - indent)).map((line) => ' '.repeat(indent) + line);
}

function count(amount: number, unit: string): string {
  return `${amount} ${unit}${amount === 1 ? '' : 's'}`;
}
