/**
 * Stands in for the two Node modules that sax asks for only where streams exist. Its presence in the core's test bundle
 * does nothing; using it would throw.
 */

export const StringDecoder = undefined;
export const Stream = undefined;
