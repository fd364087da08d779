/**
 * The channel field of an event, and the tracks its channels stand for.
 *
 * Forms met: V, A, A2, AA (A1 and A2), B (both: V and A1), A/V, A2/V, AA/V, V2, A3 and up, comma forms such as A1,A3, and
 * NONE, whose channels follow on an AUD line (common practice; classic lists know one picture and four sound channels).
 */

import type { Track } from '../../timeline/model.ts';

export interface Channel {
  readonly kind: Track['kind'];
  /** V is 1. For `other`, the order of appearance. */
  readonly number: number;
  readonly name: string;
}

export interface ChannelField {
  readonly channels: readonly Channel[];
  readonly isNone: boolean;
  /** False when the field is none of the known forms; it then names one channel of kind `other`. */
  readonly isKnown: boolean;
}

/** One channel code, or a separator, or the bare number that may follow a separator. Read left to right, so it can't run away. */
const PART = /AA(?!\d)|V\d{0,3}(?!\d)|A\d{0,3}(?!\d)|B|[/,+&]|\d{1,3}(?!\d)/y;
const LONGEST_FIELD = 64;

/** Reads a channel field. `others` counts unknown fields by name, so that each name is one track. */
export function readChannelField(written: string, others: Map<string, number>): ChannelField {
  const field = written.toUpperCase();
  if (field === 'NONE') return { channels: [], isNone: true, isKnown: true };
  const channels = field.length <= LONGEST_FIELD ? readChannels(field) : null;
  if (channels !== null) return { channels, isNone: false, isKnown: true };
  const number = others.get(field) ?? others.size + 1;
  others.set(field, number);
  return { channels: [{ kind: 'other', number, name: written }], isNone: false, isKnown: false };
}

function readChannels(field: string): readonly Channel[] | null {
  const channels = new Map<string, Channel>();
  const add = (channel: Channel): void => {
    channels.set(channel.name, channel);
  };
  let letter = '';
  let isAfterSeparator = true;
  PART.lastIndex = 0;
  for (let match = PART.exec(field); match !== null; match = PART.exec(field)) {
    const part = match[0];
    const first = part.charAt(0);
    const isSeparator = '/,+&'.includes(first);
    if (isSeparator) {
      if (isAfterSeparator) return null;
    } else if (first === 'B') {
      add(pictureChannel(1));
      add(soundChannel(1));
    } else if (part === 'AA') {
      add(soundChannel(1));
      add(soundChannel(2));
      letter = 'A';
    } else if (first === 'V' || first === 'A') {
      letter = first;
      const number = Number(part.slice(1) || '1');
      add(letter === 'V' ? pictureChannel(number) : soundChannel(number));
    } else {
      // `A1,3` carries its letter on; a number that follows nothing is no channel.
      if (!isAfterSeparator || letter === '') return null;
      add(letter === 'V' ? pictureChannel(Number(part)) : soundChannel(Number(part)));
    }
    isAfterSeparator = isSeparator;
    if (PART.lastIndex === field.length) return isSeparator ? null : [...channels.values()].sort(byTrackOrder);
  }
  return null;
}

/** The field with the sound channels of an AUD line added. */
export function withAddedSound(field: ChannelField, numbers: readonly number[]): ChannelField {
  const added = numbers
    .filter((number) => !field.channels.some((channel) => channel.kind === 'sound' && channel.number === number))
    .map(soundChannel);
  return { ...field, channels: [...field.channels, ...added].sort(byTrackOrder) };
}

/** The channel numbers of an AUD line; empty when it holds none. */
export function readAddedSound(value: string): readonly number[] {
  return [...new Set((value.slice(0, LONGEST_FIELD).match(/\d{1,3}/g) ?? []).map(Number).filter((number) => number > 0))];
}

/** Picture first, then sound, then what is neither; by number within each. */
export function byTrackOrder(left: Channel, right: Channel): number {
  const order = { picture: 0, sound: 1, other: 2 };
  return (
    order[left.kind] - order[right.kind] ||
    left.number - right.number ||
    (left.name < right.name ? -1 : left.name > right.name ? 1 : 0)
  );
}

function pictureChannel(number: number): Channel {
  return { kind: 'picture', number, name: number === 1 ? 'V' : `V${number}` };
}

function soundChannel(number: number): Channel {
  return { kind: 'sound', number, name: `A${number}` };
}
