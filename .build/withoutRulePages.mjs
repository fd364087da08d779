/**
 * Leaves texts of pages out of the server's bundle: those of the finding codes, which the server only links to, and those of
 * the settings, which editors show from the JSON Schema. The command line, the reports and the generated pages have them.
 *
 * What would break: a server feature that reads `rule.documentation` finds null there, one that reads the description of a
 * setting finds nothing, in the bundle only. The protocol tests run the bundle, so they would tell.
 */

import { readFile } from 'node:fs/promises';

export const withoutRulePages = {
  name: 'without-rule-pages',
  setup(building) {
    building.onLoad({ filter: /[\\/]server[\\/]src[\\/]core[\\/]rules[\\/]\w+\.ts$/ }, async ({ path }) => ({
      contents: (await readFile(path, 'utf8')).replace(
        /\r?\n {2}documentation: \{\r?\n[\s\S]*?\n {2}\},/,
        '\n  documentation: null as never,',
      ),
      loader: 'ts',
    }));
    building.onLoad({ filter: /[\\/]core[\\/]alignment[\\/]settingsSchema\.ts$/ }, async ({ path }) => ({
      contents: (await readFile(path, 'utf8')).replace(/\bdescription:\s*'(?:[^'\\]|\\.)*'/g, "description: ''"),
      loader: 'ts',
    }));
  },
};
