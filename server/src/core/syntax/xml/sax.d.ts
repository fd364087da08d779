/**
 * The part of the sax package that the reader uses.
 *
 * Declared here because the published types pull in Node's globals, and core type-checks without a platform. The import
 * path names the package's only source file, so that no other types are found for it.
 */
declare module 'sax/lib/sax.js' {
  namespace sax {
    interface SaxTag {
      readonly name: string;
      readonly isSelfClosing: boolean;
      readonly attributes: Record<string, string>;
    }

    interface SaxParser {
      /** UTF-16 units read so far: the offset after the character that caused the present event. */
      readonly position: number;
      /** Offset of the `<` of the tag being read, plus 1. */
      readonly startTagPosition: number;
      /** The name in the end tag being read. */
      readonly tagName: string;
      readonly tag: SaxTag;
      /** Reading goes on after an error only when this is set back to null. */
      error: Error | null;
      /** Where the package next checks for long buffers; the whole text is one buffer here. */
      bufferCheckPosition: number;
      onopentag: (tag: SaxTag) => void;
      onclosetag: (name: string) => void;
      onattribute: (attribute: { readonly name: string; readonly value: string }) => void;
      onerror: (error: Error) => void;
      write(text: string): SaxParser;
      close(): SaxParser;
    }

    /** `strictEntities`: only the five entities of XML, not those of HTML. */
    function parser(isStrict: boolean, options: { readonly strictEntities: boolean }): SaxParser;
  }

  export = sax;
}
