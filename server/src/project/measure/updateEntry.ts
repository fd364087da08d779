/**
 * Puts what was measured about one file into its entry of a report: numbers that are missing, claps that are new, and the clap
 * numbers of the pairs that those move. What stands there already stays, character for character.
 */

import {
  elementsOf,
  type Field,
  fieldsOf,
  type JsonFile,
  nodeOf,
  openJson,
  spanOfNode,
} from '../../core/alignment/jsonFields.ts';
import type { AlignmentReport, SoundEntry } from '../../core/alignment/model.ts';
import { decimalText, type PictureData, pictureText, type SoundData, soundText } from '../../core/alignment/reportText.ts';
import { kindOf, rootNode } from '../../core/syntax/json/jsonDocument.ts';
import type { TextEdit } from '../../core/text/textEdit.ts';
import { formatTimecode } from '../../core/time/timecode.ts';
import type { MergedClaps } from './mergeClaps.ts';

/** `key` is that of the report, which need not be the measured one. */
export function pictureEntryEdits(report: AlignmentReport, key: string, picture: PictureData): readonly TextEdit[] {
  const json = openJson(report.file, report.text);
  const entry = entryOf(json, 'pictures', key);
  if (entry === null) return newEntry(json, 'pictures', pictureText({ ...picture, key }));
  const fields = fieldsOf(json, entry);
  const missing: string[] = [];
  if (!fields.has('start') && picture.startFrame !== null) {
    missing.push(
      `"start": ${JSON.stringify(formatTimecode(Number(picture.startFrame.numerator), picture.rate, picture.isDropFrame))}`,
    );
    if (picture.isDropFrame && !fields.has('dropFrame')) missing.push('"dropFrame": true');
  }
  if (!fields.has('frames') && picture.frameCount !== null) missing.push(`"frames": ${decimalText(picture.frameCount)}`);
  return append(json, entry, missing);
}

export function soundEntryEdits(
  report: AlignmentReport,
  key: string,
  sound: SoundData,
  known: SoundEntry | null,
  claps: MergedClaps,
): readonly TextEdit[] {
  const json = openJson(report.file, report.text);
  const entry = entryOf(json, 'sounds', key);
  if (entry === null || known === null) {
    return newEntry(json, 'sounds', soundText({ ...sound, key }, { indent: '', lineBreak: null }));
  }
  const fields = fieldsOf(json, entry);
  const missing: string[] = [];
  if (!fields.has('startSample') && sound.startSample !== null) missing.push(`"startSample": ${decimalText(sound.startSample)}`);
  if (!fields.has('samples') && sound.sampleCount !== null) missing.push(`"samples": ${decimalText(sound.sampleCount)}`);
  const list = fields.get('claps');
  if (list === undefined) {
    if (sound.claps.length > 0) missing.push(`"claps": [${sound.claps.map(decimalText).join(', ')}]`);
    return append(json, entry, missing);
  }
  return [...append(json, entry, missing), ...clapEdits(json, list, claps), ...numberEdits(json, report, known, claps)];
}

/** Numbers put in between those that stand there, and those that changed. Around each number that stands there at most one edit. */
function clapEdits(json: JsonFile, list: Field, { added, moved }: MergedClaps): readonly TextEdit[] {
  if (kindOf(json.document, list.node) !== 'array') return [];
  const places = elementsOf(json, list.node).map((element) => spanOfNode(json, element));
  const samplesAfter = (count: number): readonly string[] =>
    added.filter(({ after }) => after === count).map(({ sample }) => decimalText(sample));
  if (places.length === 0) {
    return added.length === 0
      ? []
      : [{ span: { start: list.span.start + 1, end: list.span.end - 1 }, newText: samplesAfter(0).join(', ') }];
  }
  return places.flatMap((place, index) => {
    const standing = json.document.text.slice(place.start, place.end);
    const change = moved.find((candidate) => candidate.index === index);
    const own = change === undefined ? standing : decimalText(change.sample);
    const newText = [...(index === 0 ? samplesAfter(0) : []), own, ...samplesAfter(index + 1)].join(', ');
    return newText === standing ? [] : [{ span: place, newText }];
  });
}

/** Pairs that name a clap which now has another number. */
function numberEdits(json: JsonFile, report: AlignmentReport, sound: SoundEntry, claps: MergedClaps): readonly TextEdit[] {
  const pairs = fieldsOf(json, rootNode(json.document)).get('pairs');
  const node = nodeOf(json, pairs);
  if (node === null) return [];
  const elements = elementsOf(json, node);
  return report.pairs.flatMap((pair) => {
    const number = pair.clap === null ? undefined : claps.numbersOfListed[pair.clap - 1];
    if (pair.sound !== sound || number === undefined || number === pair.clap) return [];
    const element = elements.find((candidate) => spanOfNode(json, candidate).start === pair.span.start);
    const field = element === undefined ? undefined : fieldsOf(json, element).get('clap');
    return field === undefined ? [] : [{ span: field.span, newText: String(number) }];
  });
}

function entryOf(json: JsonFile, map: 'pictures' | 'sounds', key: string): number | null {
  const node = nodeOf(json, fieldsOf(json, rootNode(json.document)).get(map));
  const entry = node === null ? null : nodeOf(json, fieldsOf(json, node).get(key));
  return entry !== null && kindOf(json.document, entry) === 'object' ? entry : null;
}

/** Members after the last one of an object. */
function append(json: JsonFile, entry: number, members: readonly string[]): readonly TextEdit[] {
  const last = [...fieldsOf(json, entry).values()].at(-1);
  if (members.length === 0 || last === undefined) return [];
  return [{ span: { start: last.span.end, end: last.span.end }, newText: `, ${members.join(', ')}` }];
}

/** An entry on a line of its own after the last one, as far in as that is. */
function newEntry(json: JsonFile, map: 'pictures' | 'sounds', entryText: string): readonly TextEdit[] {
  const { text } = json.document;
  const field = fieldsOf(json, rootNode(json.document)).get(map);
  const node = nodeOf(json, field);
  if (field === undefined || node === null) return [];
  const last = [...fieldsOf(json, node).values()].at(-1);
  if (last === undefined) return [{ span: { start: field.span.start + 1, end: field.span.end - 1 }, newText: ` ${entryText} ` }];
  const lineStart = Math.max(text.lastIndexOf('\n', last.keySpan.start), text.lastIndexOf('\r', last.keySpan.start)) + 1;
  const indent = text.slice(lineStart, last.keySpan.start);
  const hasOwnLine = lineStart > 0 && /^[ \t]*$/.test(indent);
  const between = hasOwnLine ? `,${/\r\n|\n|\r/.exec(text)?.[0] ?? '\n'}${indent}` : ', ';
  return [{ span: { start: last.span.end, end: last.span.end }, newText: `${between}${entryText}` }];
}
