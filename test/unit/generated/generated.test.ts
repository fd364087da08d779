/**
 * Files made from code are as the code makes them now.
 */

import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { generatedFiles } from '../../../.build/generatedFiles.ts';

const read = (path: string): string => readFileSync(fileURLToPath(new URL(`../../../${path}`, import.meta.url)), 'utf8');

const present = { readme: read('README.md'), manifest: read('package.json') };

describe('generated files', () => {
  it.each([...generatedFiles(present)])('%s is current (npm run generate makes it)', (path, text) => {
    expect(read(path)).toBe(text);
  });

  it.each(['server/docs/settings.md', 'syntaxes/afterclap-settings.schema.json', 'package.json', 'README.md'])(
    '%s is among them',
    (path) => {
      expect([...generatedFiles(present).keys()]).toContain(path);
    },
  );
});

describe('the settings in the manifest', () => {
  const manifest = JSON.parse(present.manifest);
  const properties: Record<string, Record<string, unknown>> = manifest.contributes.configuration.properties;

  it('are made anew where they were changed by hand, and nothing else is', () => {
    const changed = structuredClone(manifest);
    changed.contributes.configuration = { title: 'Other', properties: { 'afterclap.codeLens': { type: 'string' } } };
    const written = `${JSON.stringify(changed, null, 2)}\n`;
    expect(generatedFiles({ ...present, manifest: written }).get('package.json')).toBe(present.manifest);
  });

  it('keep the rest of the manifest to the character, however it is laid out', () => {
    const laidOut = '{ "name":"x",\t"contributes": {"configuration":{}, "other" : [1,\r\n2]} }';
    const made = generatedFiles({ ...present, manifest: laidOut }).get('package.json') ?? '';
    expect(made.startsWith('{ "name":"x",\t"contributes": {"configuration":{\n')).toBe(true);
    expect(made.endsWith('}, "other" : [1,\r\n2]} }')).toBe(true);
    expect(JSON.parse(made).contributes.configuration).toEqual(manifest.contributes.configuration);
  });

  it('say in sentences what they decide, and have a default that they allow', () => {
    for (const [name, property] of Object.entries(properties)) {
      expect(property['markdownDescription'], name).toMatch(/^[A-Z].*\.$/);
      if (property['type'] === 'boolean') expect(property['default'], name).toBeTypeOf('boolean');
      else expect(property['enum'], name).toContain(property['default']);
    }
  });

  // The names that people have in their settings since 0.1.0; a name that goes loses what they set.
  it('keep their names', () => {
    for (const name of ['inlayHints', 'codeLens', 'compare.marks', 'trace.server']) {
      expect(Object.keys(properties)).toContain(`afterclap.${name}`);
    }
  });
});

describe('the page of settings', () => {
  const page = generatedFiles(present).get('server/docs/settings.md') ?? '';

  it('has a row for each member of the file and each setting of the editor', () => {
    const schema = JSON.parse(read('syntaxes/afterclap-settings.schema.json'));
    const members = Object.keys(schema.properties).filter((name) => name !== '$schema');
    const settings = Object.keys(JSON.parse(present.manifest).contributes.configuration.properties);
    const rows = [...page.matchAll(/^\| `([^`]+)` \|/gm)].map(([, name]) => name);
    expect(rows).toEqual([...members, ...settings]);
  });

  it('is linked from the README', () => {
    expect(present.readme).toContain('(server/docs/settings.md)');
  });
});
