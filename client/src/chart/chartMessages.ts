/**
 * What the page of the lag chart and the editor say to each other: names and shapes, nothing else.
 *
 * The page is a stranger to the editor: it gets data and words, and asks for what it can't do itself.
 */

import type { ChartView } from '../../../server/src/core/report/lagChart/chartView.ts';
import type { LagChart } from '../../../server/src/core/views/lagChartData.ts';

export type ToPage =
  /** Numbers and words of one version of the text; replaces all before. */
  | { readonly kind: 'chart'; readonly chart: LagChart; readonly version: number }
  /** Clips at the caret, as indices into the chart's clips; empty when there are none. */
  | { readonly kind: 'caret'; readonly clips: readonly number[] }
  /** Why no chart can be shown just now. `canOpen`: opening the timeline would help. */
  | { readonly kind: 'notice'; readonly words: string; readonly canOpen: boolean };

export type FromPage =
  /** The page is there and shows what it is told; sent again whenever it was built anew. */
  | { readonly kind: 'ready' }
  /** Show the text of a clip, by its index in the chart of `version`. */
  | { readonly kind: 'reveal'; readonly clip: number; readonly version: number }
  | { readonly kind: 'export'; readonly svg: string }
  | { readonly kind: 'open' };

/** What the page keeps while it is hidden, and over a restart of the editor. */
export interface PageMemory {
  /** Of the timeline; put there by the editor. */
  readonly uri: string;
  /** Null: fitted, and fitted again when the data change. */
  readonly view: ChartView | null;
  readonly verdicts: readonly string[] | null;
  readonly recording: string | null;
  readonly picture: string | null;
  readonly isTableOpen: boolean;
}
