/**
 * Names in a report that mean two things or one thing twice.
 *
 * A clip finds its entry by name alone, so a name on two entries makes every such clip ambiguous.
 */

import type { Span } from '../text/span.ts';
import { addProblem, type JsonFile, shown } from './jsonFields.ts';
import { comparableName } from './mediaNames.ts';
import type { PictureEntry, SoundEntry } from './model.ts';

interface Claim {
  readonly role: 'picture' | 'sound';
  readonly entry: PictureEntry | SoundEntry;
  readonly isKey: boolean;
}

export function checkEntries(json: JsonFile, pictures: readonly PictureEntry[], sounds: readonly SoundEntry[]): void {
  const claims = new Map<string, Claim>();
  for (const picture of pictures) claimNames(json, claims, 'picture', picture);
  for (const sound of sounds) claimNames(json, claims, 'sound', sound);
}

function claimNames(json: JsonFile, claims: Map<string, Claim>, role: Claim['role'], entry: PictureEntry | SoundEntry): void {
  claim(json, claims, entry.key, entry.keySpan, { role, entry, isKey: true });
  for (const name of entry.names) claim(json, claims, name.text, name.span, { role, entry, isKey: false });
}

function claim(json: JsonFile, claims: Map<string, Claim>, text: string, place: Span, later: Claim): void {
  const name = comparableName(text);
  const earlier = claims.get(name);
  if (earlier === undefined) {
    claims.set(name, later);
  } else if (earlier.entry !== later.entry) {
    const owner = `${earlier.role} "${shown(earlier.entry.key)}"`;
    addProblem(
      json,
      'warning',
      place,
      `"${shown(text)}" means ${owner} too, so a clip of that name is ambiguous. Capital letters make no difference; let one entry have the name.`,
    );
  } else if (!earlier.isKey) {
    addProblem(
      json,
      'information',
      place,
      `"${shown(text)}" stands twice among the names of ${later.role} "${shown(later.entry.key)}".`,
    );
  }
}
