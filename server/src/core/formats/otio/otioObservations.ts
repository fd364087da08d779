/**
 * Everything one reading noticed, as the list the rules see: in text order, clip indices filled in, repetitions counted.
 */

import { firstChild, isKey, type JsonDocument, kindOf, nextSibling, rootNode, startOf } from '../../syntax/json/jsonDocument.ts';
import type { JsonProblem } from '../../syntax/json/jsonProblems.ts';
import { rateLabel } from '../../time/rate.ts';
import type { Observation } from '../../timeline/model.ts';
import type { Reading } from './otioReading.ts';

export function finishObservations(reading: Reading): readonly Observation[] {
  const { document } = reading;
  const observations: Observation[] = document.problems.map((problem) => fromProblem(document, problem));
  for (const { observation, holder } of reading.pending) observations.push(withClip(observation, holder?.clipIndex ?? -1));
  for (const { span, schema } of reading.oldSchemas.values()) {
    observations.push({
      kind: 'old-schema',
      span,
      schema: schema.currentName,
      version: schema.version,
      newest: schema.core?.newest ?? schema.version,
    });
  }
  for (const { span, count, schema } of reading.oldNames.values()) {
    const message = `${schema.name} is an old name of ${schema.currentName} and is read as that${alsoElsewhere(count)}.`;
    observations.push({ kind: 'note', span, message, clip: null });
  }
  for (const [text, { span, count, rate }] of reading.unusualRates) {
    const taken = rateLabel(rate) === text ? '' : `; it is taken as ${rateLabel(rate)}`;
    const message = `${text.slice(0, 40)} is no usual rate: expected a whole number or one of 23.976, 29.97, 47.952, 59.94, 119.88${taken}${alsoElsewhere(count)}.`;
    observations.push({ kind: 'rate', span, message, clip: null });
  }
  return observations.sort((left, right) => left.span.start - right.span.start || left.span.end - right.span.end);
}

function alsoElsewhere(count: number): string {
  if (count < 2) return '';
  return count === 2 ? ' (here and in one more place)' : ` (here and in ${count - 1} more places)`;
}

function withClip(observation: Observation, clipIndex: number): Observation {
  return clipIndex !== -1 && 'clip' in observation && observation.clip === null
    ? { ...observation, clip: clipIndex }
    : observation;
}

/**
 * Wrong JSON makes a file unreadable for others. Repeated names and disputed numbers only do where they matter: what some
 * writer put into its own metadata does not change the timeline.
 */
function fromProblem(document: JsonDocument, problem: JsonProblem): Observation {
  const { span, message } = problem;
  switch (problem.kind) {
    case 'limit':
      return { kind: 'limit', span, message };
    case 'syntax':
      return { kind: 'unreadable', span, message };
    case 'repeated-key':
    case 'number': {
      // Beyond the range of doubles the OTIO library refuses the file, wherever the number stands.
      const isRefused = problem.kind === 'number' && !Number.isFinite(Number(document.text.slice(span.start, span.end)));
      return isRefused || !isInMetadata(document, span.start)
        ? { kind: 'unreadable', span, message }
        : { kind: 'note', span, message, clip: null };
    }
  }
}

/** True when the place at `offset` is inside a member called metadata. */
function isInMetadata(document: JsonDocument, offset: number): boolean {
  let node = rootNode(document);
  while (node !== -1) {
    const isObject = kindOf(document, node) === 'object';
    let inner = -1;
    for (
      let child = firstChild(document, node);
      child !== -1 && startOf(document, child) <= offset;
      child = nextSibling(document, child)
    ) {
      inner = child;
    }
    if (inner === -1) return false;
    if (!isObject) {
      node = inner;
    } else if (startOf(document, inner + 1) > offset) {
      return false;
    } else {
      if (isKey(document, inner, 'metadata')) return true;
      node = inner + 1;
    }
  }
  return false;
}
