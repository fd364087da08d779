/**
 * Leaves out of the server's bundle what the readers of XML and of addresses bring and nobody calls: streams and the names of
 * HTML's characters, of which the neutral XML knows none; joining and splitting of paths, which the addresses are read without.
 *
 * Both libraries come in one piece, so a bundler can't tell. A cut whose ends are not found stops the build: the library was
 * changed, and somebody has to look. Whoever comes to call what was left out finds nothing there, and the tests say so.
 */

import { readFile } from 'node:fs/promises';

const CUTS = {
  'sax/lib/sax.js': [
    {
      what: 'what exports streams',
      pattern: /^ {2}sax\.SAXStream = SAXStream\n {2}sax\.createStream = createStream\n/m,
      instead: '',
    },
    {
      what: 'streams',
      pattern: /^ {2}var Stream\n[\s\S]*?^ {4}return Stream\.prototype\.on\.call\(me, ev, handler\)\n {2}\}\n/m,
      instead: '',
    },
    {
      what: 'the names of HTML',
      pattern: /^ {2}sax\.ENTITIES = Object\.assign\(Object\.create\(null\), \{[\s\S]*?^ {2}\}\)\n/m,
      instead: '  sax.ENTITIES = Object.create(sax.XML_ENTITIES)\n',
    },
  ],
  'vscode-uri/lib/esm/index.mjs': [
    {
      what: 'joining and splitting of paths',
      pattern: /^var t=\{975\(t\)\{[\s\S]*?t\.exports=n\}\},e=\{\};/,
      instead: 'var t={975(t){t.exports={}}},e={};',
    },
  ],
};

export const slimReaders = {
  name: 'slim-readers',
  setup(building) {
    building.onLoad({ filter: /node_modules[\\/](?:sax|vscode-uri)[\\/].*\.m?js$/ }, async ({ path }) => {
      const name = path.replaceAll('\\', '/').split('/node_modules/').at(-1);
      let text = (await readFile(path, 'utf8')).replaceAll('\r\n', '\n');
      for (const { what, pattern, instead } of CUTS[name] ?? []) {
        const shorter = text.replace(pattern, () => instead);
        if (shorter === text) throw new Error(`${name} is written in a way that .build/slimReaders.mjs does not know: ${what}`);
        text = shorter;
      }
      return { contents: text, loader: 'js' };
    });
  },
};
