/** Bundles carry WebAssembly as bytes; see the loader in .build/build.mjs. */
declare module '*.wasm' {
  const bytes: Uint8Array;
  // biome-ignore lint/style/noDefaultExport: the bundler's binary loader gives a default export
  export default bytes;
}
