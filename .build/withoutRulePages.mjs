/**
 * Leaves the texts of the finding codes' pages out of the server's bundle. The server links to the generated pages in
 * server/docs; only the command line and the reports render them.
 *
 * What would break: a server feature that reads `rule.documentation` finds null there, in the bundle only. The protocol tests
 * run the bundle, so they would tell.
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
  },
};
