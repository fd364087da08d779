/**
 * The members of `afterclap.json`: the one source of their names, texts and defaults.
 *
 * The JSON Schema in syntaxes/ and the table in server/docs/settings.md are produced from this list, and the reader knows its
 * members and defaults from it, so an editor's completion, its hover, the documentation and the reader can't disagree. A test
 * fails when one of them is stale.
 */

import { FINDING_CODES } from '../rules/finding.ts';
import { NAMED_TOLERANCES } from './tolerance.ts';

/** A JSON value, as far as a schema needs it. */
export type Json = string | number | boolean | null | readonly Json[] | { readonly [name: string]: Json };

interface SettingsMember {
  readonly name: string;
  /** For people: what it decides, and what happens without it. Shown by editors on hover. */
  readonly description: string;
  /** What holds without it, where that can be written as a value. */
  readonly default?: Json;
  readonly examples: readonly Json[];
  /** What the value must look like. */
  readonly shape: { readonly [keyword: string]: Json };
}

export const GRIDS = ['sample', '1f', '1/10f', '1/80f', '1/100f'] as const;

export const SEVERITIES = ['error', 'warning', 'information', 'off'] as const;

/**
 * Lead 1 ms, lag one frame (common practice: if it can't be exact, let sound lag about a frame, never lead; 1 ms is what
 * sound needs for 34 cm).
 */
export const DEFAULT_TOLERANCE = { lead: '1ms', lag: '1f' } as const;

const DURATION_PATTERN = '^\\s*(\\d+(\\.\\d*)?|\\.\\d+)\\s*(ms|s|f|smp)\\s*$';
const RATE_PATTERN = '^\\s*(\\d+(\\s*/\\s*\\d+)?|\\d*\\.\\d+)\\s*$';

const GRID_DESCRIPTIONS: Readonly<Record<(typeof GRIDS)[number], string>> = {
  sample: 'Whole samples of the sound.',
  '1f': 'Whole frames.',
  '1/10f': 'Tenths of a frame.',
  '1/80f': 'Eightieths of a frame: at 44.1 kHz and 23.976 frames per second, 80 frames are a whole number of samples.',
  '1/100f': 'Hundredths of a frame.',
};

const DURATION: SettingsMember['shape'] = { type: 'string', pattern: DURATION_PATTERN };

export const SETTINGS_MEMBERS: readonly SettingsMember[] = [
  {
    name: 'alignment',
    description:
      'The alignment reports that timelines under this folder are checked against, as paths from this file. Without it: the report beside the timeline with the same name, else the only one in its folder, or in the next folder up that has any.',
    examples: [['day1.alignment.json']],
    shape: { type: 'array', items: { type: 'string', minLength: 1 } },
  },
  {
    name: 'tolerance',
    description:
      'How far sound may lead and lag its picture before it is a finding: both sides, each a number with ms, s, f (frames of the timeline) or smp (samples of the sound); or the name of a published tolerance. Delivery specifications decide, where there are any.',
    default: DEFAULT_TOLERANCE,
    examples: [DEFAULT_TOLERANCE, 'ebu-r37', '1ms/1f'],
    shape: {
      anyOf: [
        {
          type: 'object',
          properties: {
            lead: { ...DURATION, description: 'The most by which sound may be heard before its picture.' },
            lag: { ...DURATION, description: 'The most by which sound may be heard after its picture.' },
          },
          required: ['lead', 'lag'],
          additionalProperties: false,
        },
        ...NAMED_TOLERANCES.map(({ tolerance, title, source, leadStatus, lagStatus }) => ({
          const: tolerance.name,
          description: `${title}. ${source}; lead ${leadStatus}, lag ${lagStatus}.`,
        })),
        {
          type: 'string',
          pattern:
            '^\\s*([Ll][Ee][Aa][Dd]\\s*=.+[,;]\\s*[Ll][Aa][Gg]\\s*=.+|[Ll][Aa][Gg]\\s*=.+[,;]\\s*[Ll][Ee][Aa][Dd]\\s*=.+|[^/]+/[^/]+)$',
          description: 'Both sides in one string: lead=1ms,lag=1f or 1ms/1f, lead first.',
        },
      ],
    },
  },
  {
    name: 'grid',
    description:
      'The steps in which a fix may move a clip, as your editing software can hold them. Without it each clip keeps to whole counts of the unit it is written in. An edit decision list holds whole frames only, whatever stands here.',
    examples: ['1f', '1/10f'],
    shape: { anyOf: GRIDS.map((grid) => ({ const: grid, description: GRID_DESCRIPTIONS[grid] })) },
  },
  {
    name: 'edlRate',
    description:
      'Frames per second of edit decision lists, which do not say it themselves. Without it: the rate all pictures of the report share, else what the list hints at.',
    examples: ['24000/1001', 25],
    shape: {
      anyOf: [
        { type: 'string', pattern: RATE_PATTERN },
        { type: 'number', exclusiveMinimum: 0 },
      ],
    },
  },
  {
    name: 'handles',
    description:
      'How much media the mix asks for beyond each cut, for the finding short-handles: a number with ms, s, f or smp. That finding is off by default; switch it on under rules.',
    examples: ['2s', '48f'],
    shape: DURATION,
  },
  {
    name: 'rules',
    description: 'Another severity for a finding code, or off.',
    examples: [{ 'no-sound': 'warning', 'scratch-live': 'off' }],
    shape: {
      type: 'object',
      properties: Object.fromEntries(FINDING_CODES.map((code) => [code, { enum: [...SEVERITIES] }])),
      additionalProperties: false,
    },
  },
  {
    name: 'accept',
    description:
      'Findings that are known and fine, each with the reason. Limited to a clip by its name, or for every clip. One that matches nothing any more is told.',
    examples: [[{ code: 'sound-lags', clip: 'DECK_0012.wav', reason: 'heard through the wall, as in the story' }]],
    shape: {
      type: 'array',
      items: {
        type: 'object',
        properties: {
          code: { enum: [...FINDING_CODES], description: 'The finding code.' },
          clip: { type: 'string', minLength: 1, description: 'The name of the clip it is limited to. Without it: every clip.' },
          reason: { type: 'string', pattern: '\\S', description: 'Why it is fine. Whoever opens the cut next year reads this.' },
        },
        required: ['code', 'reason'],
        additionalProperties: false,
      },
    },
  },
];

/** The schema of `afterclap.json`, JSON Schema draft-07. */
export function settingsSchema(): { readonly [keyword: string]: Json } {
  const members = SETTINGS_MEMBERS.map(({ name, description, examples, shape, ...rest }) => [
    name,
    { description, ...('default' in rest && rest.default !== undefined ? { default: rest.default } : {}), examples, ...shape },
  ]);
  return {
    $schema: 'http://json-schema.org/draft-07/schema#',
    $id: 'urn:afterclap:schema:settings:1',
    title: 'Afterclap settings',
    description:
      'What decides the findings for every timeline in this folder and below. Nothing here decides how they are shown.',
    type: 'object',
    properties: {
      $schema: { type: 'string', description: 'The schema of this file, for editors.' },
      ...Object.fromEntries(members),
    },
    additionalProperties: false,
  };
}
