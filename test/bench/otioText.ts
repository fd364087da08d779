/**
 * A long OTIO text as the library lays it out: four blanks a level, doubles with a point, Clip.2, some metadata.
 *
 * One picture track and two sound tracks of an invented shoot; every clip is cut from its file at a known place, so that
 * a bench can check that what it timed was read.
 */

interface Layout {
  /** Blanks per level; 0 writes everything on one line. */
  readonly indent: number;
  /** Put into every clip's name; a letter outside ASCII changes what the fast path has to do. */
  readonly nameSuffix: string;
}

const LIBRARY_LAYOUT: Layout = { indent: 4, nameSuffix: '' };

/** `clipCount` clips in all, about 1,500 characters each in the library's layout. */
export function longOtio(clipCount: number, layout: Layout = LIBRARY_LAYOUT): string {
  const kinds = ['Video', 'Audio', 'Audio'];
  const perTrack = Math.ceil(clipCount / kinds.length);
  let left = clipCount;
  const tracks = kinds.map((kind, trackIndex) => {
    const count = Math.min(perTrack, left);
    left -= count;
    const children = Array.from({ length: count }, (_, index) => clip(kind, trackIndex, index, layout.nameSuffix));
    return {
      OTIO_SCHEMA: 'Track.1',
      metadata: {},
      name: '',
      source_range: null,
      effects: [],
      markers: [],
      enabled: true,
      children,
      kind,
    };
  });
  const timeline = {
    OTIO_SCHEMA: 'Timeline.1',
    metadata: {},
    name: 'A long day at the weir',
    global_start_time: time(86400, '24.0'),
    tracks: {
      OTIO_SCHEMA: 'Stack.1',
      metadata: {},
      name: 'tracks',
      source_range: null,
      effects: [],
      markers: [],
      enabled: true,
      children: tracks,
    },
  };
  // JSON has no way to write 24.0, so doubles are marked and the marks taken out again.
  return JSON.stringify(timeline, null, layout.indent).replace(/"<([-.\d]+)>"/g, '$1');
}

function clip(kind: string, trackIndex: number, index: number, nameSuffix: string): unknown {
  const isPicture = kind === 'Video';
  const take = String(index % 400).padStart(4, '0');
  const file = isPicture ? `CAM_A_${take}.mov` : `DECK_${trackIndex}_${take}.wav`;
  const rate = isPicture ? '24.0' : '48000.0';
  const units = isPicture ? 1 : 2000;
  return {
    OTIO_SCHEMA: 'Clip.2',
    metadata: { weir: { scene: `${index % 37}`, take: `${index % 9}`, reel: file.slice(0, 10) } },
    name: `${file.slice(0, -4)}${nameSuffix}`,
    source_range: range((1000 + index) * units, (24 + (index % 48)) * units, rate),
    effects: [],
    markers: [],
    enabled: true,
    media_references: {
      DEFAULT_MEDIA: {
        OTIO_SCHEMA: 'ExternalReference.1',
        metadata: {},
        name: file,
        available_range: range(0, 100000 * units, rate),
        available_image_bounds: null,
        target_url: `file:///shoot/day1/${file}`,
      },
    },
    active_media_reference_key: 'DEFAULT_MEDIA',
  };
}

function range(start: number, duration: number, rate: string): unknown {
  return { OTIO_SCHEMA: 'TimeRange.1', start_time: time(start, rate), duration: time(duration, rate) };
}

function time(value: number, rate: string): unknown {
  return { OTIO_SCHEMA: 'RationalTime.1', rate: `<${rate}>`, value: `<${value}.0>` };
}
