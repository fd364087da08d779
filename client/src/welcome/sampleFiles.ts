/**
 * The files of the sample that the extension carries, by name: where the extension comes from the web, its folders can't be listed.
 */

/** All of samples/; a test compares. */
export const SAMPLE_FILES: readonly string[] = [
  'README.md',
  'afterclap.json',
  'millrace.alignment.json',
  'millrace.edl',
  'millrace.otio',
  'millrace.timeline.xml',
];

/** The one that is opened first: its lines are short and hold all that is to be seen. */
export const FIRST_FILE = 'millrace.edl';

/** `millrace`, numbered when that is taken. Names are compared without regard to case, as many disks do. */
export function freeSampleFolder(taken: readonly string[]): string {
  const lowered = new Set(taken.map((name) => name.toLowerCase()));
  for (let number = 1; ; number += 1) {
    const name = number === 1 ? 'millrace' : `millrace-${number}`;
    if (!lowered.has(name)) return name;
  }
}
