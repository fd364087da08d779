/**
 * The editor's settings (`afterclap.*`): the one source of their names, values, defaults and texts. The client may import this file.
 *
 * `npm run generate` makes the manifest's settings and the table in server/docs/settings.md from this list, and server and client
 * read their defaults from it, so that what the settings page promises is what happens. These decide what is shown, never what is
 * found: that is `afterclap.json`, whose members are in core/alignment/settingsSchema.ts.
 *
 * What would break: a name that changes loses what people have set under the old one.
 */

import type { HintChoice } from '../core/views/inlayHints.ts';

/** Before the names, with a dot. */
export const EDITOR_SECTION = 'afterclap';

interface SettingText {
  /** Below the section: 'compare.marks'. */
  readonly name: string;
  /** For people, in Markdown; settings pages show it. */
  readonly description: string;
  /** `resource`: each folder, and each language, may have its own. `window`: one for all that is open together. */
  readonly scope: 'resource' | 'window';
}

export interface Switch extends SettingText {
  readonly default: boolean;
}

export interface Choice<Value extends string> extends SettingText {
  readonly default: Value;
  /** Every value with what it does, in the order in which they are listed. */
  readonly values: Readonly<Record<Value, string>>;
}

export const INLAY_HINTS: Choice<HintChoice> = {
  name: 'inlayHints',
  description: 'After which clips the lag of their sound is written. Shows only; what is found is decided by `afterclap.json`.',
  scope: 'resource',
  default: 'problems',
  values: {
    off: 'No hints.',
    problems: 'Only clips whose sound leads, lags or drifts beyond the tolerance.',
    all: 'Every clip that was compared.',
  },
};

export const CODE_LENS: Switch = {
  name: 'codeLens',
  description: 'Show one line above each timeline that counts its comparisons: in, leading, lagging, drifting.',
  scope: 'resource',
  default: true,
};

export const CHANGE_MARKS: Switch = {
  name: 'compare.marks',
  description:
    'While a comparison with the last commit is open, a small triangle beside the line marks each clip that changed; rest the mouse on the clip to read how.',
  scope: 'window',
  default: true,
};

/** Read by the protocol library of the client, under this very name. */
const SERVER_TRACE: Choice<'off' | 'messages' | 'verbose'> = {
  name: 'trace.server',
  description:
    'What is written to the log of the messages between editor and server, for looking into a fault of Afterclap itself.',
  scope: 'window',
  default: 'off',
  values: {
    off: 'Nothing.',
    messages: 'The name of each message.',
    verbose: 'Each message with all it carries, timelines too.',
  },
};

/** In the order of the settings page. */
export const EDITOR_SETTINGS: readonly (Switch | Choice<string>)[] = [INLAY_HINTS, CODE_LENS, CHANGE_MARKS, SERVER_TRACE];

/** What `given` sets; the default for anything that is no value of the setting. */
export function switchValue(setting: Switch, given: unknown): boolean {
  return typeof given === 'boolean' ? given : setting.default;
}

/** What `given` sets; the default for anything that is no value of the setting. */
export function choiceValue<Value extends string>(setting: Choice<Value>, given: unknown): Value {
  return typeof given === 'string' && Object.hasOwn(setting.values, given) ? (given as Value) : setting.default;
}
