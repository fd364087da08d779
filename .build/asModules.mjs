/**
 * Writes CommonJS as a TypeScript compiler emits it in the words of ES modules, so that a bundler can see who uses what.
 *
 * A bundler has to keep a CommonJS file whole, and every use of a name in it as `file.name`. As modules, whatever nobody
 * imports is left out and every name becomes a letter or two. What the files do is not changed.
 *
 * It is a rewriting of lines, no compiler: only forms that the protocol libraries are known to be written in are taken. Any
 * other mention of `exports` or `require` that is left at the end is an error with the line, so a new version of a library
 * that is written differently stops the build instead of breaking the extension.
 */

const HEAD = 'Object.defineProperty(exports, "__esModule", { value: true });';

/** `path` is only for the message. Throws where the text holds a form that is not known. */
export function asModule(text, path) {
  const lines = text.replaceAll('\r\n', '\n');
  // Before this line stand only comments and the compiler's own helpers, which modules do without. A module has no such line.
  const headAt = lines.indexOf(HEAD);
  const body = headAt === -1 ? lines : lines.slice(headAt + HEAD.length);
  const sources = new Map();
  const rewritten = body
    .replace(/^exports\.\w+ = (?:exports\.\w+ = )*void 0;$/gm, '')
    .replace(/^__exportStar\(require\(("[^"]+")\), exports\);$/gm, 'export * from $1;')
    .replace(
      /^(?:const|var) (\w+) = (__importStar\(|__importDefault\()?require\(("[^"]+")\)\)?;$/gm,
      (_, name, helper, source) => {
        sources.set(name, source);
        // A module that is called is one function.
        const isFunction = helper === undefined && new RegExp(`(?<![\\w.])${name}\\(`).test(body);
        return isFunction ? `import ${name} from ${source};` : `import * as ${name} from ${source};`;
      },
    )
    .replace(
      /^Object\.defineProperty\(exports, "(\w+)", \{ enumerable: true, get: function \(\) \{ return (\w+)\.(\w+); \} \}\);$/gm,
      (whole, name, file, member) => (sources.has(file) ? `export { ${member} as ${name} } from ${sources.get(file)};` : whole),
    )
    // A namespace of its own: an expression that may be dropped when nobody uses it.
    .replace(
      /^(?:export )?var (\w+);\n\(function \(\1\) \{([\s\S]*?)^\}\)\(\1 \|\| \((?:exports\.\1 = )?\1 = \{\}\)\);$/gm,
      (whole, name, inside) => {
        const value = `var ${name} = /* @__PURE__ */ (function (${name}) {${inside}return ${name};\n})({});`;
        return whole.startsWith('export ') || whole.includes(`exports.${name} = `) ? `export ${value}` : value;
      },
    )
    // A namespace that adds to a class or a function of the same name, which is exported by a line of its own.
    .replace(/^\}\)\((\w+) \|\| \(exports\.\1 = \1 = \{\}\)\);$/gm, '})($1 || ($1 = {}));')
    .replace(/^exports\.default = (\w+);$/gm, 'export default $1;')
    .replace(/^exports\.(\w+) = \1;$/gm, 'export { $1 };')
    .replace(/^exports\.(\w+) = (\w+);$/gm, 'export { $2 as $1 };')
    .replace(/^exports\.(\w+) = /gm, 'export const $1 = ')
    .replace(/(?<=[^\w.'"])exports\.(\w+)\b(?! =)/g, '$1');
  const foreign = rewritten.split('\n').find((line) => /(?<![\w.$'"])(?:exports\b|require\()/.test(line) && !isComment(line));
  if (foreign !== undefined) {
    throw new Error(`${path} is written in a way that .build/asModules.mjs does not know: ${foreign.trim()}`);
  }
  return withoutRepeatedExports(rewritten);
}

function isComment(line) {
  return /^\s*(?:\/\/|\/?\*)/.test(line);
}

/** A class with a namespace of the same name is exported by both. */
function withoutRepeatedExports(text) {
  const seen = new Set();
  return text.replace(/^export \{ (\w+) \};$/gm, (line, name) => {
    if (seen.has(name)) return '';
    seen.add(name);
    return line;
  });
}
