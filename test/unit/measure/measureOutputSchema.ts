/**
 * The form of `measure --format json`, as a JSON Schema: what programs that read it may rely on.
 */

const rational = { type: 'string', pattern: '^-?(0|[1-9][0-9]*)(/[1-9][0-9]*)?$' };
const rationalOrNull = { anyOf: [rational, { type: 'null' }] };
const textOrNull = { type: ['string', 'null'] };
const share = { type: 'number', minimum: 0, maximum: 1 };
const texts = { type: 'array', items: { type: 'string', minLength: 1 } };

/** An object with exactly these members. */
function exactly(properties: Readonly<Record<string, object>>): object {
  return { type: 'object', properties, required: Object.keys(properties), additionalProperties: false };
}

const heard = {
  sample: rational,
  seconds: rational,
  score: share,
  channel: { type: 'integer', minimum: 1 },
  position: { enum: ['head', 'middle', 'tail'] },
  reason: { type: 'string', minLength: 1 },
};

const sound = exactly({
  key: { type: 'string', minLength: 1 },
  path: { type: 'string' },
  name: { type: 'string' },
  sampleRate: rational,
  samples: rational,
  startSample: rationalOrNull,
  channels: { type: 'integer', minimum: 1 },
  claps: { type: 'array', items: exactly({ clap: { type: 'integer', minimum: 1 }, ...heard }) },
  refused: { type: 'array', items: exactly(heard) },
  refusedUnlisted: { type: 'integer', minimum: 0 },
  remarks: texts,
});

const picture = exactly({
  key: { type: 'string', minLength: 1 },
  path: textOrNull,
  name: { type: 'string' },
  rate: rational,
  start: textOrNull,
  dropFrame: { type: 'boolean' },
  frames: rationalOrNull,
  scratch: { anyOf: [exactly({ sampleRate: rational, channels: { type: 'integer', minimum: 1 } }), { type: 'null' }] },
  remarks: texts,
});

const pair = exactly({
  picture: { type: 'string' },
  sound: { type: 'string' },
  at: exactly({ frame: rational, sample: rational }),
  offset: rationalOrNull,
  driftPpm: rational,
  driftPpmUncertainty: { type: ['number', 'null'] },
  uncertainty: { anyOf: [exactly({ early: rational, late: rational }), { type: 'null' }] },
  by: { enum: ['clap', 'waveform'] },
  clap: { type: ['integer', 'null'] },
  confidence: share,
  polarity: { enum: ['same', 'inverted', null] },
  jumps: {
    type: 'array',
    items: exactly({ after: { type: 'number' }, before: { type: 'number' }, samples: { type: 'number' } }),
  },
  pull: textOrNull,
  note: textOrNull,
  remarks: texts,
});

export const measureOutputSchema = exactly({
  version: { const: 1 },
  sounds: { type: 'array', items: sound },
  pictures: { type: 'array', items: picture },
  pairs: { type: 'array', items: pair },
  leftOver: {
    type: 'array',
    items: exactly({
      severity: { enum: ['error', 'warning', 'information'] },
      kind: { enum: ['picture', 'sound', 'clap', 'log', 'pair'] },
      name: { type: 'string', minLength: 1 },
      reason: { type: 'string', minLength: 1 },
    }),
  },
  failures: texts,
  report: textOrNull,
});
