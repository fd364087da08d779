/**
 * The manifest's block of settings, made from the one list of them. The rest of package.json keeps every character.
 */

import { findNodeAtLocation, parseTree } from 'jsonc-parser';
import { type Choice, EDITOR_SECTION, EDITOR_SETTINGS, type Switch } from '../server/src/lsp/editorSettings.ts';

const BLOCK = ['contributes', 'configuration'];
const INDENT = '  ';

/** `manifest` is package.json as it is now; throws when it has lost its place for settings. */
export function withSettings(manifest: string): string {
  const root = parseTree(manifest);
  const node = root === undefined ? undefined : findNodeAtLocation(root, BLOCK);
  if (node === undefined) throw new Error(`package.json has lost ${BLOCK.join('.')}`);
  const text = JSON.stringify(settingsBlock(), null, INDENT).replaceAll('\n', `\n${INDENT.repeat(BLOCK.length)}`);
  return `${manifest.slice(0, node.offset)}${text}${manifest.slice(node.offset + node.length)}`;
}

function settingsBlock(): object {
  const properties = EDITOR_SETTINGS.map((setting, order) => [`${EDITOR_SECTION}.${setting.name}`, property(setting, order + 1)]);
  return { title: 'Afterclap', properties: Object.fromEntries(properties) };
}

/** `order`: settings pages list by it, and by name without it. */
function property(setting: Switch | Choice<string>, order: number): object {
  const { description, scope } = setting;
  const values =
    'values' in setting
      ? { type: 'string', enum: Object.keys(setting.values), enumDescriptions: Object.values(setting.values) }
      : { type: 'boolean' };
  return { ...values, default: setting.default, scope, order, markdownDescription: description };
}
