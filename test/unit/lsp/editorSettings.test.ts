/**
 * What server and client take a setting for: its value where it is one, else the default that the manifest promises.
 */

import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { defaultSettings, readSettings } from '../../../server/src/core/alignment/readSettings.ts';
import {
  type Choice,
  choiceValue,
  EDITOR_SECTION,
  EDITOR_SETTINGS,
  type Switch,
  switchValue,
} from '../../../server/src/lsp/editorSettings.ts';
import { repositoryRoot } from '../cli/runCli.ts';

const read = (path: string): string => readFileSync(join(repositoryRoot, path), 'utf8');
const properties: Readonly<Record<string, { readonly default: unknown }>> = JSON.parse(read('package.json')).contributes
  .configuration.properties;

const taken = (setting: Switch | Choice<string>, given: unknown): unknown =>
  'values' in setting ? choiceValue(setting, given) : switchValue(setting, given);

describe.each(EDITOR_SETTINGS.map((setting) => [setting.name, setting] as const))('the setting %s', (name, setting) => {
  const promised = properties[`${EDITOR_SECTION}.${name}`]?.default;

  it.each([undefined, null, 17, '', 'yes', 'toString', '__proto__', [], {}, ['off'], 'TRUE'])('%j means the default', (given) => {
    expect(taken(setting, given)).toBe(promised);
  });

  it('each of its values means itself', () => {
    const values = 'values' in setting ? Object.keys(setting.values) : [true, false];
    expect(values.map((value) => taken(setting, value))).toEqual(values);
  });
});

describe('the default tolerance', () => {
  it('that the schema of afterclap.json promises is the one that holds without the file', () => {
    const { default: promised } = JSON.parse(read('syntaxes/afterclap-settings.schema.json')).properties.tolerance;
    const { tolerance, problems } = readSettings('afterclap.json', JSON.stringify({ tolerance: promised }));
    expect([tolerance, problems]).toEqual([defaultSettings.tolerance, []]);
  });
});
