/** For the test that compiles the scanner again. */

export declare function compileTapeScanner(): Promise<Buffer>;
