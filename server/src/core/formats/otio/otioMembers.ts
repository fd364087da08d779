/**
 * The members of OTIO objects, gathered in one pass over an object's names.
 *
 * One scratch table is used again and again, since a timeline holds a million members: what it holds is good until the
 * next `gather`.
 */

import { firstChild, type JsonDocument } from '../../syntax/json/jsonDocument.ts';
import { nextAt, wordNumberAt } from '../../syntax/json/jsonTape.ts';
import { MEMBER_COUNT, type MemberNumber } from './otioWords.ts';

/** Value nodes by the number of the member's name; -1 where the object has no such member. */
export interface Members {
  readonly nodes: Int32Array;
  /** Which of them are set, so that forgetting is quick. */
  readonly used: Uint8Array;
  usedCount: number;
}

export function createMembers(): Members {
  return { nodes: new Int32Array(MEMBER_COUNT + 1).fill(-1), used: new Uint8Array(MEMBER_COUNT + 1), usedCount: 0 };
}

/** Forgets the last object and gathers `objectNode`; the first of repeated names counts. */
export function gather(members: Members, document: JsonDocument, objectNode: number): void {
  const { nodes, used } = members;
  const { tape } = document;
  for (let index = 0; index < members.usedCount; index += 1) nodes[used[index] as number] = -1;
  let usedCount = 0;
  let key = firstChild(document, objectNode);
  while (key > 0) {
    const word = wordNumberAt(tape, key);
    if (word !== 0 && word <= MEMBER_COUNT && nodes[word] === -1) {
      nodes[word] = key + 1;
      used[usedCount] = word;
      usedCount += 1;
    }
    key = nextAt(tape, key);
  }
  members.usedCount = usedCount;
}

/** The node of the value under `name`, -1 when there is none. */
export function memberNode(members: Members, name: MemberNumber): number {
  return members.nodes[name] as number;
}
