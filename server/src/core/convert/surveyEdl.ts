/**
 * What an edit list holds beyond the neutral timeline: comments, locators, colour values, keys, machine control, effects by name.
 */

import {
  EDIT,
  type EdlTape,
  EVENT_ROW,
  LABEL,
  LABEL_ROW,
  LINE,
  LINE_ROW,
  labelRow,
  lineKind,
  lineSpan,
  valueSpan,
} from '../syntax/edl/edlTape.ts';
import { scanEdl } from '../syntax/edl/scanEdl.ts';
import { type Span, textOf } from '../text/span.ts';
import type { Timeline } from '../timeline/model.ts';
import type { LossKind, LossLog } from './loss.ts';
import type { TransitionType } from './source.ts';

export function surveyEdl(text: string, timeline: Timeline, log: LossLog): ReadonlyMap<number, TransitionType> {
  const tape = scanEdl(text);
  const firstClip = new Map<number, number>();
  for (const clip of timeline.clips) if (!firstClip.has(clip.textGroup)) firstClip.set(clip.textGroup, clip.index);
  const transitions = new Map(timeline.transitions.map(({ span, name }) => [span.start, name]));
  const types = new Map<number, TransitionType>();
  let clip: number | null = null;
  let hasTransition = false;
  for (let line = 0; line < tape.lineCount; line += 1) {
    const kind = lineKind(tape, line);
    if (kind === LINE.event) {
      const event = tape.lines[line * LINE_ROW.size + LINE_ROW.detail] as number;
      clip = firstClip.get(event) ?? null;
      const type = tape.events[event * EVENT_ROW.size + EVENT_ROW.type];
      hasTransition = type === EDIT.dissolve || type === EDIT.wipe;
      const isOutgoing = clip === null && transitions.has(startOfEvent(tape, event));
      surveyEvent(tape, event, clip, isOutgoing, log);
      continue;
    }
    surveyLine(tape, line, clip, hasTransition, log);
  }
  for (const event of eventsOf(tape)) {
    const type = tape.events[event * EVENT_ROW.size + EVENT_ROW.type];
    const start = startOfEvent(tape, event);
    const before = event === 0 ? -1 : startOfEvent(tape, event - 1);
    const key = transitions.has(start) ? start : transitions.has(before) ? before : -1;
    if (key === -1) continue;
    if (type === EDIT.wipe) types.set(key, { kind: 'wipe' });
    else if (type === EDIT.dissolve) types.set(key, { kind: 'dissolve' });
  }
  return types;
}

function surveyEvent(tape: EdlTape, event: number, clip: number | null, isOutgoing: boolean, log: LossLog): void {
  const row = event * EVENT_ROW.size;
  const place: Span = { start: tape.events[row + EVENT_ROW.start] as number, end: tape.events[row + EVENT_ROW.end] as number };
  const tell = (kind: LossKind, message: string): void => log.tell({ kind, message, clip, track: null, span: place });
  const type = tape.events[row + EVENT_ROW.type] as number;
  if (type >= EDIT.keyForeground) tell('effect', 'It is part of a key. How it is keyed and faded is left out.');
  if (clip === null && !isOutgoing)
    tell('hidden', 'This event lasts no frames or names no channel, so nothing of it is on record. It is left out.');
  const lastLabel = tape.events[labelRow(event, LABEL.recordOut) + LABEL_ROW.end] as number;
  const trailing = tape.text.slice(lastLabel, place.end).trim();
  if (trailing !== '') tell('comment', `What stands behind the times of the event, '${trailing.slice(0, 60)}', is left out.`);
}

function surveyLine(tape: EdlTape, line: number, clip: number | null, hasTransition: boolean, log: LossLog): void {
  const span = lineSpan(tape, line);
  const value = textOf(tape.text, valueSpan(tape, line)).trim();
  const shown = value.length > 80 ? `${value.slice(0, 79)}…` : value;
  const tell = (kind: LossKind, message: string): void => log.tell({ kind, message, clip, track: null, span });
  switch (lineKind(tape, line)) {
    case LINE.locator:
      tell('marker', `The locator '${shown}' is left out.`);
      break;
    case LINE.colour:
      tell('effect', `Its colour values, ${shown}, are left out.`);
      break;
    case LINE.effectName:
      if (!hasTransition) tell('effect', `The effect '${shown}' is left out.`);
      break;
    case LINE.control:
      tell('metadata', `The line for machine control, '${textOf(tape.text, span).slice(0, 60)}', is left out.`);
      break;
    case LINE.split:
      tell('comment', 'The SPLIT line is left out; the times of its events say the same.');
      break;
    case LINE.header:
    case LINE.comment:
      if (value !== '') tell('comment', `The comment '${shown}' is left out.`);
      break;
    default:
  }
}

function eventsOf(tape: EdlTape): readonly number[] {
  return Array.from({ length: tape.eventCount }, (_, event) => event);
}

function startOfEvent(tape: EdlTape, event: number): number {
  return tape.events[event * EVENT_ROW.size + EVENT_ROW.start] as number;
}
