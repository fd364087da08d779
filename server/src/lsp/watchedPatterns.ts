/**
 * The files that decide what is found, as patterns for a client that watches them. The client may import this file.
 *
 * Patterns tell capitals from small letters where the disk does, and old edit lists come in capitals.
 */

export const TIMELINE_PATTERNS: readonly string[] = [
  '**/*.otio',
  '**/*.timeline.xml',
  '**/*.edl',
  '**/*.EDL',
  '**/*.cpl.xml',
  '**/CPL*.xml',
];

/** Reports, settings and asset maps, each of which decides the findings of many timelines. */
export const SIDE_FILE_PATTERNS: readonly string[] = ['**/*.alignment.json', '**/afterclap.json', '**/ASSETMAP*'];
