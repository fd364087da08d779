/**
 * What the page of the clap desk and the editor say to each other: names and shapes, nothing else.
 *
 * The page asks, by number, and is answered under that number; besides it is told when the report changes. Arrays cross as arrays.
 */

import type {
  DeskAnswer,
  DeskChange,
  DeskClapsAnswer,
  DeskClapsParams,
  DeskMediaAnswer,
  DeskMediaParams,
  DeskPeaksAnswer,
  DeskPeaksParams,
  DeskSoundParams,
} from '../../../server/src/lsp/clapDeskMessages.ts';

import type { ByteRange } from '../../../server/src/lsp/messages.ts';

export interface PagePeaks extends Pick<DeskPeaksAnswer, 'start' | 'end' | 'isSparse'> {
  readonly lows: Float32Array;
  readonly highs: Float32Array;
}

export interface PageClaps extends Omit<DeskClapsAnswer, 'peaks'> {
  readonly peaks: PagePeaks | null;
}

export interface PageMedia extends DeskMediaAnswer {
  /** Bytes of a camera file that can be read by ranges. */
  readonly size: number | null;
  /** Why not, as the rest of a sentence that begins with its name. */
  readonly refusal?: string;
}

/** Of each kind of question: what it says, and what comes back. Null stands for 'that can't be had any more'. */
export interface Asks {
  readonly media: { readonly ask: Omit<DeskMediaParams, 'uri'>; readonly answer: PageMedia | null };
  readonly peaks: { readonly ask: DeskPeaksParams; readonly answer: PagePeaks | null };
  readonly sound: {
    readonly ask: DeskSoundParams;
    readonly answer: { readonly start: number; readonly samples: Float32Array } | null;
  };
  readonly claps: { readonly ask: Omit<DeskClapsParams, 'id'>; readonly answer: PageClaps | null };
  /** Bytes of a camera file. */
  readonly bytes: {
    readonly ask: ByteRange & { readonly file: string };
    readonly answer: Uint8Array | null;
  };
  /** A file that a person gave the page, which answers for its bytes from now on; answered with its address. */
  readonly give: { readonly ask: { readonly name: string; readonly size: number }; readonly answer: string | null };
  /** Lets a person choose a file of the editor's folders; answered with its address, or null. */
  readonly choose: {
    readonly ask: { readonly role: 'picture' | 'sound'; readonly name: string };
    readonly answer: string | null;
  };
  readonly write: {
    readonly ask: { readonly version: number; readonly change: DeskChange };
    readonly answer: { readonly isWritten: boolean; readonly words: string } | null;
  };
}

export type AskKind = keyof Asks;

export type FromPage =
  /** The page is there and shows what it is told; sent again whenever it was built anew. */
  | { readonly kind: 'ready' }
  /** Show the text of the report. */
  | { readonly kind: 'open' }
  /** Of a file that the page was given: the answer to 'read'. Null when it can't be read any more. */
  | { readonly kind: 'bytes'; readonly id: number; readonly blocks: readonly Uint8Array[] | null }
  /** The answer to that question is not wanted any more. */
  | { readonly kind: 'stop'; readonly id: number }
  | {
      [Kind in AskKind]: { readonly kind: 'ask'; readonly id: number; readonly about: Kind; readonly ask: Asks[Kind]['ask'] };
    }[AskKind];

/** Which pair is to be shown. A picture or sound alone takes its first pair. */
export interface Wanted {
  readonly pair: number | null;
  readonly picture: string | null;
  readonly sound: string | null;
}

export type ToPage =
  /** One version of the report. `wanted` is null where the page goes on with what it shows. */
  | {
      readonly kind: 'desk';
      readonly answer: DeskAnswer;
      readonly wanted: Wanted | null;
      /** The editor reaches no disk: a person chooses files in the page, which holds them. */
      readonly isGivenFiles: boolean;
    }
  /** Asks for bytes of a file that the page was given. */
  | { readonly kind: 'read'; readonly id: number; readonly file: string; readonly ranges: readonly ByteRange[] }
  | { readonly kind: 'notice'; readonly words: string; readonly canOpen: boolean }
  | { readonly kind: 'progress'; readonly id: number; readonly share: number }
  | { readonly kind: 'answer'; readonly id: number; readonly value: unknown };

/** What the page keeps while it is hidden, and over a restart of the editor. */
export interface PageMemory {
  /** Of the report; put there by the editor. */
  readonly uri: string;
  readonly pair: number | null;
  readonly picture: string | null;
  readonly sound: string | null;
  /** Addresses of files that a person chose, by role and key. */
  readonly files: Readonly<Record<string, string>>;
  readonly view: { readonly start: number; readonly end: number } | null;
  readonly choice: RememberedChoice | null;
}

/** A choice not written yet; exact numbers as text. */
export interface RememberedChoice {
  readonly seen: { readonly frame: string; readonly reading: string; readonly shutter: string | null } | null;
  readonly edge: { readonly sample: string; readonly uncertainty: string; readonly isFound: boolean } | null;
  readonly edgeMoved: string;
  readonly nudge: string;
}
