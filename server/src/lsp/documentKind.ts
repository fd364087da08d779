/**
 * What a document is to us, by its name; by its language only where the name does not tell (a text never saved).
 *
 * The name comes first because editors disagree about language identifiers, and agree about files.
 */

import { formatOfFileName } from '../core/formats/formatFor.ts';
import type { FormatId } from '../core/timeline/model.ts';

export type DocumentKind =
  | { readonly kind: 'timeline'; readonly format: FormatId }
  | { readonly kind: 'alignment' }
  | { readonly kind: 'settings' };

const FORMAT_OF_LANGUAGE: Readonly<Record<string, FormatId>> = {
  otio: 'otio',
  'afterclap-xml': 'xml',
  'afterclap-edl': 'edl',
  'afterclap-cpl': 'cpl',
};

/** Null for documents that are none of ours; they are stored and never looked at. */
export function documentKindOf(uri: string, languageId: string | null): DocumentKind | null {
  const fileName = fileNameOf(uri);
  const name = fileName.toLowerCase();
  if (name.endsWith('.alignment.json')) return { kind: 'alignment' };
  if (name === 'afterclap.json') return { kind: 'settings' };
  const format = formatOfFileName(fileName) ?? (languageId === null ? undefined : FORMAT_OF_LANGUAGE[languageId]);
  return format === undefined ? null : { kind: 'timeline', format };
}

/** Last part of a URI's path, its escapes undone. */
export function fileNameOf(uri: string): string {
  const path = uri.replace(/[?#].*$/, '');
  const name = path.slice(path.lastIndexOf('/') + 1);
  try {
    return decodeURIComponent(name);
  } catch {
    // A stray '%' is part of the name.
    return name;
  }
}
