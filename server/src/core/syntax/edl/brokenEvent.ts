/**
 * What is wrong with a line that begins like an event and is none: said on the word that broke it.
 *
 * Only reached for broken lines, so it favours a useful sentence over speed.
 */

import { span } from '../../text/span.ts';
import type { EdlProblem } from './edlTape.ts';
import { NO_LABEL, TIMECODE_LABEL } from './readLabel.ts';
import { formOf, type Words } from './scanEventLine.ts';

const TYPE = /^(?:C|D|W\d{0,3}|K[BO]?)$/i;

/** True when one of the words is a timecode. */
export function hasTimecode(units: Uint8Array, words: Words): boolean {
  for (let word = 0; word < words.count; word += 1) if (formOf(units, words, word) === TIMECODE_LABEL) return true;
  return false;
}

/** True for text with four timecodes on it that does not begin with a number: an event that lost its number. */
export function looksLikeEventWithoutNumber(text: string, start: number, end: number): boolean {
  // Four timecodes are at least 44 characters with their blanks; most comments are shorter.
  if (end - start < 44) return false;
  let found = 0;
  const timecode = /(?<![\w:;.,])\d{1,2}[:;.,]\d\d[:;.,]\d\d[:;.,]\d{2,3}(?![\w:;.,])/g;
  const line = text.slice(start, Math.min(end, start + 400));
  while (found < 4 && timecode.exec(line) !== null) found += 1;
  return found === 4;
}

export function describeBrokenEvent(text: string, units: Uint8Array, words: Words): EdlProblem {
  const wordSpan = (word: number) => span(words.starts[word] as number, words.ends[word] as number);
  const wordText = (word: number) => text.slice(words.starts[word], words.ends[word]);
  const whole = span(words.starts[0] as number, words.ends[words.count - 1] as number);
  const typeWord = lastTypeBefore(words, wordText);
  const firstTime = typeWord === -1 ? firstTimecode(units, words) : typeWord + 1;
  let times = 0;
  for (let word = firstTime; word < words.count && times < 4; word += 1) {
    if (formOf(units, words, word) !== NO_LABEL) times += 1;
    else if (word > firstTime && /^\d?\d\D/.test(wordText(word))) {
      return {
        span: wordSpan(word),
        message: `'${shortened(wordText(word))}' is not a timecode; an event needs four like 01:00:00:00: source in and out, record in and out. The event is left out.`,
      };
    }
  }
  if (times === 4) {
    return {
      span: whole,
      message: 'This event has four times but no channel or edit type before them, such as V C. It is left out.',
    };
  }
  return {
    span: whole,
    message: `This line begins like an event but has ${times === 0 ? 'no times' : `only ${times} of its four times`}: source in and out, record in and out. It is left out; the line may have been cut off.`,
  };
}

function lastTypeBefore(words: Words, wordText: (word: number) => string): number {
  for (let word = words.count - 1; word >= 2; word -= 1) if (TYPE.test(wordText(word))) return word;
  return -1;
}

function firstTimecode(units: Uint8Array, words: Words): number {
  for (let word = 1; word < words.count; word += 1) if (formOf(units, words, word) === TIMECODE_LABEL) return word;
  return words.count;
}

function shortened(text: string): string {
  return text.length > 24 ? `${text.slice(0, 24)}…` : text;
}
