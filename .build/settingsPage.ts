/**
 * The page that documents both kinds of settings, made from their sources.
 */

import { SETTINGS_MEMBERS } from '../server/src/core/alignment/settingsSchema.ts';
import { type Choice, EDITOR_SECTION, EDITOR_SETTINGS, type Switch } from '../server/src/lsp/editorSettings.ts';

const SCOPES = { resource: 'each folder', window: 'the window' } as const;

/** Markdown. */
export function settingsPage(): string {
  const members = SETTINGS_MEMBERS.map(({ name, description, default: standard, examples }) => [
    code(name),
    standard === undefined ? '' : code(JSON.stringify(standard)),
    description,
    examples.map((example) => code(JSON.stringify(example))).join(' '),
  ]);
  const settings = EDITOR_SETTINGS.map((setting) => [
    code(`${EDITOR_SECTION}.${setting.name}`),
    code(JSON.stringify(setting.default)),
    SCOPES[setting.scope],
    [setting.description, ...valuesOf(setting)].join('<br>'),
  ]);
  return `# Settings

Two kinds, kept apart: a file beside the timelines decides what is found, for everybody who checks them; the editor's settings
decide what one person sees. This page, the schema of the file and the editor's settings page are made from one source.

## What is found: \`afterclap.json\`

The nearest one upwards of a timeline holds. It is JSON with these members, all of them optional; a member that is wrong is an error,
and its default holds until it is right.

${table(['member', 'without it', 'what it decides', 'for example'], members)}

## What is shown: the editor's settings

Search for \`${EDITOR_SECTION}\` in the editor's settings.

${table(['setting', 'default', 'may differ for', 'what it decides'], settings)}
`;
}

function valuesOf(setting: Switch | Choice<string>): readonly string[] {
  if (!('values' in setting)) return [];
  return Object.entries(setting.values).map(([value, text]) => `${code(value)}: ${text}`);
}

function table(heads: readonly string[], rows: readonly (readonly string[])[]): string {
  const line = (cells: readonly string[]): string => `| ${cells.map((cell) => cell.replaceAll('|', '\\|')).join(' | ')} |`;
  return [line(heads), `|${'---|'.repeat(heads.length)}`, ...rows.map(line)].join('\n');
}

function code(text: string): string {
  return `\`${text}\``;
}
