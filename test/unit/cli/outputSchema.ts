/**
 * The form of `--format json`, as a JSON Schema: what programs that read it may rely on.
 */

const rational = { type: 'string', pattern: '^-?(0|[1-9][0-9]*)(/[1-9][0-9]*)?$' };
const position = {
  type: 'object',
  properties: { line: { type: 'integer', minimum: 1 }, column: { type: 'integer', minimum: 1 } },
  required: ['line', 'column'],
  additionalProperties: false,
};
const range = {
  type: 'object',
  properties: { start: position, end: position },
  required: ['start', 'end'],
  additionalProperties: false,
};
const lag = {
  type: 'object',
  properties: { head: rational, tail: rational },
  required: ['head', 'tail'],
  additionalProperties: false,
};
const textOrNull = { type: ['string', 'null'] };

const finding = {
  type: 'object',
  properties: {
    code: { type: 'string', pattern: '^[a-z]+(-[a-z]+)*$' },
    severity: { enum: ['error', 'warning', 'information'] },
    message: { type: 'string', minLength: 1 },
    range,
    picture: textOrNull,
    sound: textOrNull,
    lag: { anyOf: [lag, { type: 'null' }] },
    cause: textOrNull,
    fixable: { type: 'boolean' },
  },
  required: ['code', 'severity', 'message', 'range', 'picture', 'sound', 'lag', 'cause', 'fixable'],
  additionalProperties: false,
};

const pair = {
  type: 'object',
  properties: {
    picture: { type: 'string' },
    sound: { type: 'string' },
    pictureClip: { type: 'string' },
    soundClip: { type: 'string' },
    record: {
      type: 'object',
      properties: { start: rational, end: rational },
      required: ['start', 'end'],
      additionalProperties: false,
    },
    lag,
    verdict: { enum: ['in', 'leads', 'lags', 'drifts'] },
  },
  required: ['picture', 'sound', 'pictureClip', 'soundClip', 'record', 'lag', 'verdict'],
  additionalProperties: false,
};

export const outputSchema = {
  type: 'object',
  properties: {
    version: { const: 1 },
    // Only with a baseline.
    baseline: {
      type: 'object',
      properties: {
        path: { type: 'string' },
        leftOut: { type: 'integer', minimum: 0 },
        gone: {
          type: 'array',
          items: { type: 'object', required: ['file', 'code', 'clips', 'lag', 'on', 'count'] },
        },
      },
      required: ['path', 'leftOut', 'gone'],
      additionalProperties: false,
    },
    files: {
      type: 'array',
      items: {
        type: 'object',
        properties: {
          path: { type: 'string', minLength: 1 },
          format: { enum: ['otio', 'xml', 'edl', 'alignment', 'settings'] },
          rate: { anyOf: [rational, { type: 'null' }] },
          alignment: textOrNull,
          // Only where several reports serve one timeline; the first is `alignment` too.
          alignments: { type: 'array', items: { type: 'string' }, minItems: 2 },
          findings: { type: 'array', items: finding },
          pairs: { type: 'array', items: pair },
          // Only with a baseline.
          leftOut: { type: 'integer', minimum: 0 },
          // Only where something was accepted.
          accepted: {
            type: 'array',
            minItems: 1,
            items: {
              type: 'object',
              properties: { code: { type: 'string' }, reason: { type: 'string', minLength: 1 }, range },
              required: ['code', 'reason', 'range'],
              additionalProperties: false,
            },
          },
        },
        required: ['path', 'format', 'rate', 'alignment', 'findings', 'pairs'],
        additionalProperties: false,
      },
    },
  },
  required: ['version', 'files'],
  additionalProperties: false,
};

export interface OutputFile {
  readonly path: string;
  readonly format: string;
  readonly rate: string | null;
  readonly alignment: string | null;
  readonly alignments?: readonly string[];
  readonly findings: readonly {
    readonly code: string;
    readonly severity: string;
    readonly message: string;
    readonly range: { readonly start: OutputPosition; readonly end: OutputPosition };
    readonly lag: { readonly head: string; readonly tail: string } | null;
    readonly fixable: boolean;
  }[];
  readonly pairs: readonly {
    readonly pictureClip: string;
    readonly soundClip: string;
    readonly record: { readonly start: string; readonly end: string };
    readonly lag: { readonly head: string; readonly tail: string };
    readonly verdict: string;
  }[];
  readonly leftOut?: number;
  readonly accepted?: readonly { readonly code: string; readonly reason: string }[];
}

export interface OutputPosition {
  readonly line: number;
  readonly column: number;
}

export interface Output {
  readonly version: number;
  readonly files: readonly OutputFile[];
  readonly baseline?: { readonly leftOut: number; readonly gone: readonly { readonly code: string; readonly file: string }[] };
}
