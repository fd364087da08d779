/**
 * Schema names and versions: what `"OTIO_SCHEMA": "Clip.2"` says about the object that holds it.
 *
 * The name is split at the last dot, as the library does. Versions are those of the library's CORE_VERSION_MAP up to
 * release 0.18.1, and Marker.3 of its development version. A reader takes every version up to the newest; a higher one is
 * an error in the library, here it is reported and read as well as it goes.
 */

/** What an object is, as far as a timeline's reader cares. */
export type SchemaRole =
  | 'timeline'
  | 'collection'
  | 'stack'
  | 'track'
  | 'clip'
  | 'gap'
  | 'transition'
  | 'external-reference'
  | 'missing-reference'
  | 'generator-reference'
  | 'sequence-reference'
  | 'media-reference'
  | 'effect'
  | 'time-effect'
  | 'time-warp'
  | 'marker'
  | 'time'
  | 'time-range'
  | 'object-reference'
  /** A schema of the core that has no place in a timeline: colours, boxes, plug-in records, abstract types. */
  | 'other';

interface CoreSchema {
  readonly role: SchemaRole;
  /** The newest version a released library writes. */
  readonly newest: number;
  /** The highest version that can be read. */
  readonly readable: number;
}

export interface Schema {
  /** As written, without the version. */
  readonly name: string;
  readonly version: number;
  /** The name it is read as: `Track` for `Sequence`. */
  readonly currentName: string;
  /** Null for a schema that is not of the core. */
  readonly core: CoreSchema | null;
}

const core = (role: SchemaRole, newest = 1, readable = newest): CoreSchema => ({ role, newest, readable });

const CORE_SCHEMAS: ReadonlyMap<string, CoreSchema> = new Map([
  ['Timeline', core('timeline')],
  ['SerializableCollection', core('collection')],
  ['Stack', core('stack')],
  ['Track', core('track')],
  ['Clip', core('clip', 2)],
  ['Gap', core('gap')],
  ['Transition', core('transition')],
  ['ExternalReference', core('external-reference')],
  ['MissingReference', core('missing-reference')],
  ['GeneratorReference', core('generator-reference')],
  ['ImageSequenceReference', core('sequence-reference')],
  ['MediaReference', core('media-reference')],
  ['Effect', core('effect')],
  ['TimeEffect', core('time-effect')],
  ['LinearTimeWarp', core('time-warp')],
  ['FreezeFrame', core('time-warp')],
  ['Marker', core('marker', 2, 3)],
  ['RationalTime', core('time')],
  ['TimeRange', core('time-range')],
  ['SerializableObjectRef', core('object-reference')],
  ...[
    'Composable',
    'Composition',
    'Item',
    'SerializableObject',
    'SerializableObjectWithMetadata',
    'UnknownSchema',
    'SchemaDef',
    'Adapter',
    'HookScript',
    'MediaLinker',
    'PluginManifest',
    'TimeTransform',
    'Color',
    'V2d',
    'Box2d',
    'Test',
  ].map((name): [string, CoreSchema] => [name, core('other')]),
]);

/** Old names that the library reads as new ones. */
const OLD_NAMES: ReadonlyMap<string, string> = new Map([
  ['Sequence', 'Track'],
  ['Filler', 'Gap'],
  ['SerializeableCollection', 'SerializableCollection'],
]);

/** Value types, whose version is part of the name: `RationalTime.2` is an unknown schema, not a newer one. */
const VALUE_TYPES: ReadonlySet<string> = new Set([
  'RationalTime',
  'TimeRange',
  'TimeTransform',
  'Color',
  'V2d',
  'Box2d',
  'SerializableObjectRef',
]);

/** Reads `Name.Version`; null when the text has another form. */
export function parseSchema(text: string): Schema | null {
  const match = /^(.+)\.(\d{1,9})$/s.exec(text);
  if (match === null) return null;
  const name = match[1] as string;
  const version = Number(match[2]);
  const currentName = OLD_NAMES.get(name) ?? name;
  const known = CORE_SCHEMAS.get(currentName) ?? null;
  const isUnknown = known !== null && VALUE_TYPES.has(name) && version !== 1;
  return { name, version, currentName, core: isUnknown ? null : known };
}

/** True when the name itself has been replaced. */
export function hasOldName(schema: Schema): boolean {
  return schema.name !== schema.currentName;
}
