/**
 * Puts one pair into the text of a report: changes the numbers of the pair that is there, or adds one.
 *
 * People keep notes, order and spacing of their own in a report. So only characters that must change do: a number, a member
 * that is new, a member that no longer holds. Notes and members nobody knows stay.
 */

import type { EditResult } from '../formats/timelineFormat.ts';
import {
  firstChild,
  keyText,
  kindOf,
  nextSibling,
  rootNode,
  spanOf,
  valueOf as valueNodeOf,
} from '../syntax/json/jsonDocument.ts';
import type { TextEdit } from '../text/textEdit.ts';
import { equals, type Rational, ZERO } from '../time/rational.ts';
import { elementsOf, type Field, fieldsOf, type JsonFile, nodeOf, openJson, spanOfNode, wholeSpan } from './jsonFields.ts';
import type { AlignmentReport, Pair } from './model.ts';
import { REPORT_VERSION } from './readReport.ts';
import {
  decimalText,
  type Layout,
  millisecondsText,
  type PairData,
  type PictureData,
  pairText,
  pictureText,
  type SoundData,
  soundText,
  uncertaintyText,
} from './reportText.ts';

export interface PairUpdate {
  readonly pair: PairData;
  /** Written when the report has no picture of that key; null when it must have one. */
  readonly picture: PictureData | null;
  readonly sound: SoundData | null;
}

/**
 * The edits that make the report say `update`. A pair of the same picture and sound is changed, unless both it and the
 * update name a clap and the claps differ; otherwise one is added, after the last of the same picture.
 *
 * A caller that knows which pair is meant hands it in as `chosen`; null then adds one, whatever is there.
 *
 * Not ok when the text is broken, since an edit to it would be a guess, or when an entry is missing.
 */
export function updatePair(report: AlignmentReport, update: PairUpdate, chosen?: Pair | null): EditResult {
  const json = openJson(report.file, report.text);
  const root = rootNode(json.document);
  const isBroken = json.document.problems.some((problem) => problem.kind === 'syntax' || problem.kind === 'limit');
  if (isBroken || root === -1) return refusal(`${report.file} is not well-formed JSON; repair it first.`);
  const fields = fieldsOf(json, root);
  const version = fields.get('alignment');
  if (version !== undefined && report.text.slice(version.span.start, version.span.end) !== String(REPORT_VERSION)) {
    return refusal(`${report.file} is not a report of version ${REPORT_VERSION}.`);
  }
  const pairsNode = containerNode(json, fields.get('pairs'), 'array');
  if (pairsNode === null) return refusal(`${report.file} has no list of pairs; write "pairs": [] into it first.`);
  const edits: TextEdit[] = [];
  const pictureRefusal = addEntry(json, fields.get('pictures'), update.pair.picture, 'picture', edits, () =>
    update.picture === null ? null : pictureText(update.picture),
  );
  const soundRefusal = addEntry(json, fields.get('sounds'), update.pair.sound, 'sound', edits, (layout) =>
    update.sound === null ? null : soundText(update.sound, layout),
  );
  const reason = pictureRefusal ?? soundRefusal;
  if (reason !== null) return refusal(`${report.file} ${reason}`);
  const known = chosen === undefined ? pairToChange(report, update.pair) : chosen;
  if (known === null) {
    const siblings = report.pairs.filter((pair) => pair.picture.key === update.pair.picture);
    const after = siblings.at(-1)?.span.end ?? null;
    edits.push(addItem(json, pairsNode, after, (layout) => pairText(update.pair, layout)));
  } else {
    const node = elementsOf(json, pairsNode).find((element) => spanOfNode(json, element).start === known.span.start);
    if (node !== undefined) edits.push(...changePair(json, node, known, update.pair));
  }
  return { ok: true, edits };
}

function refusal(reason: string): EditResult {
  return { ok: false, reason };
}

function containerNode(json: JsonFile, field: Field | undefined, kind: 'array' | 'object'): number | null {
  const node = nodeOf(json, field);
  return node !== null && kindOf(json.document, node) === kind ? node : null;
}

function pairToChange(report: AlignmentReport, wanted: PairData): Pair | null {
  const alike = report.pairs.filter((pair) => pair.picture.key === wanted.picture && pair.sound.key === wanted.sound);
  return (
    alike.find((pair) => pair.clap === wanted.clap) ?? alike.find((pair) => pair.clap === null || wanted.clap === null) ?? null
  );
}

/** Why the entry can't be had, as the rest of a sentence; null when it is there or an edit adds it. */
function addEntry(
  json: JsonFile,
  map: Field | undefined,
  key: string,
  role: 'picture' | 'sound',
  edits: TextEdit[],
  textFor: (layout: Layout) => string | null,
): string | null {
  const node = containerNode(json, map, 'object');
  if (node === null) return `has no "${role}s"; write "${role}s": {} into it first.`;
  if (fieldsOf(json, node).has(key)) return null;
  if (textFor({ indent: '', lineBreak: null }) === null) return `has no ${role} "${key}".`;
  edits.push(addItem(json, node, null, (layout) => textFor(layout) ?? ''));
  return null;
}

/** An edit that adds an item to a list or object: after the item that ends at `after`, else at the end, laid out as its neighbours. */
function addItem(json: JsonFile, container: number, after: number | null, textFor: (layout: Layout) => string): TextEdit {
  const { text } = json.document;
  const place = spanOfNode(json, container);
  const items = itemSpans(json, container);
  const neighbour = items.find((item) => item.end === after) ?? items.at(-1);
  if (neighbour !== undefined) {
    const indent = blanksBefore(text, neighbour.start);
    const layout: Layout = indent === null ? { indent: '', lineBreak: null } : { indent, lineBreak: lineBreakOf(text) };
    const before = layout.lineBreak === null ? ', ' : `,${layout.lineBreak}${layout.indent}`;
    return { span: { start: neighbour.end, end: neighbour.end }, newText: before + textFor(layout) };
  }
  const inside = { start: place.start + 1, end: place.end - 1 };
  if (!/[\r\n]/.test(text.trim())) return { span: inside, newText: ` ${textFor({ indent: '', lineBreak: null })} ` };
  const lineBreak = lineBreakOf(text);
  const outer = lineIndent(text, place.start);
  const step = outer.includes('\t') ? '\t' : '  ';
  const layout: Layout = { indent: `${outer}${step}`, lineBreak };
  return { span: inside, newText: `${lineBreak}${layout.indent}${textFor(layout)}${lineBreak}${outer}` };
}

function itemSpans(json: JsonFile, container: number): readonly { readonly start: number; readonly end: number }[] {
  if (kindOf(json.document, container) === 'array')
    return elementsOf(json, container).map((element) => spanOfNode(json, element));
  return membersOf(json, container).map(wholeSpan);
}

/** What stands before `offset` on its line when that is nothing but blanks; null when something else does. */
function blanksBefore(text: string, offset: number): string | null {
  let start = offset;
  while (start > 0 && (text.charAt(start - 1) === ' ' || text.charAt(start - 1) === '\t')) start -= 1;
  const isLineStart = start > 0 && (text.charAt(start - 1) === '\n' || text.charAt(start - 1) === '\r');
  return isLineStart ? text.slice(start, offset) : null;
}

function lineIndent(text: string, offset: number): string {
  let start = offset;
  while (start > 0 && text.charAt(start - 1) !== '\n' && text.charAt(start - 1) !== '\r') start -= 1;
  return /^[ \t]*/.exec(text.slice(start, offset))?.[0] ?? '';
}

function lineBreakOf(text: string): string {
  return /\r\n|\n|\r/.exec(text)?.[0] ?? '\n';
}

/** New text of each member: null takes the member out, a member that is not named stays as it is. */
type MemberChanges = ReadonlyMap<string, string | null>;

function changePair(json: JsonFile, node: number, known: Pair, wanted: PairData): readonly TextEdit[] {
  const fields = fieldsOf(json, node);
  const changes = new Map<string, string | null>();
  const edits: TextEdit[] = [];
  const at = fields.get('at');
  if (at !== undefined) {
    const atChanges = new Map<string, string | null>();
    setNumber(atChanges, 'frame', known.frame, wanted.frame);
    setNumber(atChanges, 'sample', known.sample, wanted.sample);
    edits.push(...memberEdits(json, at.node, atChanges));
  }
  if (fields.has('driftPpm') || !equals(wanted.driftPpm, ZERO))
    setNumber(changes, 'driftPpm', fields.has('driftPpm') ? known.driftPpm : null, wanted.driftPpm);
  edits.push(...uncertaintyEdits(json, fields.get('uncertaintyMs'), known, wanted, changes));
  if (known.by !== wanted.by) changes.set('by', wanted.by === null ? null : JSON.stringify(wanted.by));
  if (known.clap !== wanted.clap) changes.set('clap', wanted.clap === null ? null : String(wanted.clap));
  if (wanted.note !== null && wanted.note !== known.note) changes.set('note', JSON.stringify(wanted.note));
  return [...edits, ...memberEdits(json, node, changes)];
}

function uncertaintyEdits(
  json: JsonFile,
  field: Field | undefined,
  known: Pair,
  wanted: PairData,
  changes: Map<string, string | null>,
): readonly TextEdit[] {
  if (wanted.uncertainty === null) {
    if (field !== undefined) changes.set('uncertaintyMs', null);
    return [];
  }
  if (field === undefined || kindOf(json.document, field.node) !== 'object') {
    changes.set('uncertaintyMs', uncertaintyText(wanted.uncertainty));
    return [];
  }
  const sides = new Map<string, string | null>();
  const { early, late } = wanted.uncertainty;
  if (!equals(early, known.uncertaintyEarly)) sides.set('early', millisecondsText(early));
  if (!equals(late, known.uncertaintyLate)) sides.set('late', millisecondsText(late));
  return memberEdits(json, field.node, sides);
}

function setNumber(changes: Map<string, string | null>, name: string, known: Rational | null, wanted: Rational): void {
  if (known === null || !equals(known, wanted)) changes.set(name, decimalText(wanted));
}

/** Every member in text order; one whose name stands before already has no name here, since only the first counts. */
function membersOf(json: JsonFile, objectNode: number): readonly Field[] {
  const { document } = json;
  const members: Field[] = [];
  const seen = new Set<string>();
  for (let key = firstChild(document, objectNode); key !== -1; key = nextSibling(document, key)) {
    const name = keyText(document, key);
    const node = valueNodeOf(document, key);
    members.push({ name: seen.has(name) ? '' : name, keySpan: spanOf(document, key), node, span: spanOf(document, node) });
    seen.add(name);
  }
  return members;
}

/** Replaces values in place, takes members out with the comma before or after them, and puts new ones after the last that stays. */
function memberEdits(json: JsonFile, objectNode: number, changes: MemberChanges): readonly TextEdit[] {
  const members = membersOf(json, objectNode);
  const isGone = (member: Field): boolean => changes.get(member.name) === null;
  const edits: TextEdit[] = [];
  for (const member of members) {
    const newText = changes.get(member.name);
    if (typeof newText === 'string') edits.push({ span: member.span, newText });
  }
  const added = [...changes]
    .filter(([name, value]) => value !== null && !members.some((member) => member.name === name))
    .map(([name, value]) => `${JSON.stringify(name)}: ${value}`);
  const lastKept = members.findLast((member) => !isGone(member));
  let isAdded = added.length === 0;
  for (const [index, member] of members.entries()) {
    if (!isGone(member) || (index > 0 && isGone(members[index - 1] as Field))) continue;
    const stop = members.findIndex((candidate, position) => position > index && !isGone(candidate));
    const end = (members[stop === -1 ? members.length - 1 : stop - 1] as Field).span.end;
    const before = members[index - 1];
    const after = stop === -1 ? undefined : members[stop];
    if (before !== undefined) {
      const isLast = before === lastKept && !isAdded;
      edits.push({ span: { start: before.span.end, end }, newText: isLast ? `, ${added.join(', ')}` : '' });
      isAdded ||= isLast;
    } else {
      edits.push({ span: { start: member.keySpan.start, end: after?.keySpan.start ?? end }, newText: '' });
    }
  }
  if (!isAdded && lastKept !== undefined) {
    edits.push({ span: { start: lastKept.span.end, end: lastKept.span.end }, newText: `, ${added.join(', ')}` });
  }
  return edits;
}
