/**
 * A review as a text to read beside the timeline, and which of its characters lead where.
 *
 * Plain text, because it can be searched, copied into a message and read aloud; sentences are left whole, and the editor breaks
 * lines where its window ends.
 */

import type { ReviewData, ReviewedRange } from './reviewData.ts';

export interface ReviewText {
  readonly text: string;
  readonly links: readonly ReviewLink[];
}

export interface ReviewLink {
  /** UTF-16 offsets into the text, half-open. */
  readonly start: number;
  readonly end: number;
  readonly version: Version;
  readonly range: ReviewedRange;
}

/** Which of the two files. */
export type Version = 'old' | 'new';

/** `name` of the file, and `revision` it is held against, as people call them. */
export function reviewText(data: ReviewData, name: string, revision: string): ReviewText {
  const writer = createWriter();
  writer.line(`${name} since ${revision}`);
  writer.line('');
  writer.line(data.headline);
  for (const { text } of data.timeline) writer.line(text);
  writer.line(data.report);
  if (data.rest === null) writer.line('When the timeline is saved with a change, it is told here.');
  const nameIn: Readonly<Record<Version, string>> = { new: name, old: data.old.path };
  const section = (title: string, entries: readonly Entry[]): void => {
    if (entries.length === 0) return;
    writer.line('');
    writer.line(title);
    for (const { place, label, text } of withoutRepeats(entries)) {
      writer.line('');
      writer.place(place, place === null ? '' : nameIn[place.version], label);
      writer.line(`    ${text}`);
    }
  };
  section(
    'Sound against its picture',
    data.sync.map(({ soundClip, text }) => ({ place: placeIn('new', soundClip.range), label: soundClip.name, text })),
  );
  section(
    'Findings that appeared',
    data.findings.appeared.map((finding) => ({
      ...findingEntry('new', finding),
      text: finding.before === null ? finding.message : `${finding.message} It was there before and is worse now.`,
    })),
  );
  section(
    'Findings that went away',
    data.findings.gone.map((finding) => findingEntry('old', finding)),
  );
  section(
    'Findings accepted now',
    data.findings.accepted.map((finding) => ({
      ...findingEntry('new', finding),
      text: `${finding.message} It is accepted: ${finding.reason}`,
    })),
  );
  section(
    'Moved as a block',
    data.blocks.map(({ clips: [first], text }) => ({ place: placeIn('new', first?.range), label: first?.name ?? '', text })),
  );
  section(
    'Clips',
    data.clips.map(({ old: [old], new: [now], text }) => ({
      place: now === undefined ? placeIn('old', old?.range) : placeIn('new', now.range),
      label: (now ?? old)?.name ?? '',
      text,
    })),
  );
  if (data.rest !== null) {
    writer.line('');
    writer.line(data.rest);
  }
  return writer.done();
}

interface Place {
  readonly version: Version;
  readonly range: ReviewedRange;
}

interface Entry {
  /** Null where the file that it is about is not one of the two. */
  readonly place: Place | null;
  readonly label: string;
  readonly text: string;
}

function placeIn(version: Version, range: ReviewedRange | null | undefined): Place | null {
  return range === null || range === undefined ? null : { version, range };
}

function findingEntry(version: Version, { code, severity, message, range }: ReviewData['findings']['gone'][number]): Entry {
  return { place: placeIn(version, range), label: `${code} (${severity})`, text: message };
}

/** One event of an edit list can stand for several clips, of which the same is to be said. */
function withoutRepeats(entries: readonly Entry[]): readonly Entry[] {
  const seen = new Set<string>();
  return entries.filter(({ place, text }) => {
    const key = JSON.stringify([place, text]);
    if (seen.has(key)) return false;
    seen.add(key);
    return true;
  });
}

function createWriter(): {
  readonly line: (text: string) => void;
  readonly place: (place: Place | null, file: string, label: string) => void;
  readonly done: () => ReviewText;
} {
  let text = '';
  const links: ReviewLink[] = [];
  const line = (written: string): void => {
    // A line break in a clip's name would tear its entry apart.
    text += `${written.replace(/[\r\n\u2028\u2029]+/g, ' ')}\n`;
  };
  return {
    line,
    place: (place, file, label) => {
      if (place === null) {
        line(`  ${label}`);
        return;
      }
      const { line: row, column } = place.range.start;
      const shown = `${file}:${row}:${column}`;
      const start = text.length + 2;
      links.push({ start, end: start + shown.length, ...place });
      line(`  ${shown}  ${label}`.trimEnd());
    },
    done: () => ({ text, links }),
  };
}
