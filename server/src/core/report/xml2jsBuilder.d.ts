/**
 * The part of the xml2js package that writes XML.
 *
 * Declared here because the published types pull in Node's globals, and core type-checks without a platform. The import path names
 * the one source file that writes, which needs no platform either.
 */
declare module 'xml2js/lib/builder.js' {
  namespace builder {
    interface BuilderOptions {
      readonly xmldec: { readonly version: string; readonly encoding: string };
      readonly renderOpts: { readonly pretty: boolean; readonly indent: string; readonly newline: string };
    }

    class Builder {
      constructor(options: BuilderOptions);
      /** `$` holds attributes, `_` the text; members become elements in their order, arrays repeat theirs. */
      buildObject(root: object): string;
    }
  }

  export = builder;
}
