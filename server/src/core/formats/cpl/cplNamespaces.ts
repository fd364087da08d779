/**
 * The namespaces of SMPTE ST 2067-3 composition playlists and the sequences in them.
 *
 * Source: the XML schemas of ST 2067-3 (2013, 2016; the 2020 edition of the document keeps the 2016 namespace) and of
 * ST 2067-2 (2013, 2016, 2020). Public files hold other years too, and once a placeholder 'XXXX': an element means what its local
 * name says in any namespace of that form, and an unknown year is told.
 */

/** Playlists themselves, and the constraints that name their sequences. */
const COMPOSITION = /^http:\/\/www\.smpte-ra\.org\/(?:schemas|ns)\/2067-(2|3)\/([^/\s]+)\/?$/;
/** Further parts of ST 2067, which define sequences of their own. */
const OTHER_PART = /^http:\/\/www\.smpte-ra\.org\/(?:schemas|ns)\/2067-\d+\//;
const DIGITAL_CINEMA = /^http:\/\/www\.smpte-ra\.org\/schemas\/429-7\//;
const SIGNATURE = 'http://www.w3.org/2000/09/xmldsig#';

const YEARS: Readonly<Record<string, readonly string[]>> = { '2': ['2013', '2016', '2020'], '3': ['2013', '2016'] };

/** The namespace to show where one is expected. */
export const COMPOSITION_NAMESPACE = 'http://www.smpte-ra.org/schemas/2067-3/2016';

/** Sequences that are neither the main picture nor the main sound (ST 2067-2; the last of ST 2067-201). */
export const OTHER_SEQUENCES: readonly string[] = [
  'SubtitlesSequence',
  'HearingImpairedCaptionsSequence',
  'VisuallyImpairedTextSequence',
  'CommentarySequence',
  'KaraokeSequence',
  'AncillaryDataSequence',
  'CDPSequence',
  'ForcedNarrativeSequence',
  'IABSequence',
];

/** True when an element of this namespace is one of a composition playlist. */
export function belongsToComposition(namespace: string, localName: string): boolean {
  if (COMPOSITION.test(namespace)) return true;
  if (OTHER_PART.test(namespace)) return OTHER_SEQUENCES.includes(localName);
  return namespace === SIGNATURE && localName === 'Signature';
}

/** Where the namespace is one of composition playlists but of no published edition: its year and the years that are known. */
export function unknownYear(namespace: string): { readonly year: string; readonly known: readonly string[] } | null {
  const match = COMPOSITION.exec(namespace);
  const known = match === null ? [] : (YEARS[match[1] as string] ?? []);
  const year = match?.[2] ?? '';
  return match === null || known.includes(year) ? null : { year, known };
}

/** True for the namespace of SMPTE ST 429-7, the composition playlists of digital cinema. */
export function isDigitalCinema(namespace: string): boolean {
  return DIGITAL_CINEMA.test(namespace);
}
