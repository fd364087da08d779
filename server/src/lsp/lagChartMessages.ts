/**
 * What server and client say to each other about lag charts: names and shapes, nothing else. The client may import this file.
 *
 * A client that shows a chart asks for it and follows it; from then on it is sent again whenever the text or the report changes,
 * until the client stops following. A server that was restarted follows nothing: the client asks again.
 */

import type { LagChart } from '../core/views/lagChartData.ts';

/** Client to server: `LagChartParams`, answered with a `LagChartAnswer`, or null when the document is no open timeline. */
export const LAG_CHART_REQUEST = 'afterclap/lagChart';
export interface LagChartParams {
  readonly uri: string;
  /** True to be sent the chart again with each change. */
  readonly isFollowed: boolean;
}

/** Server to client: a `LagChartAnswer` for a document that is followed. */
export const LAG_CHART_NOTIFICATION = 'afterclap/lagChartChanged';
export interface LagChartAnswer {
  readonly uri: string;
  /** Of the text that the chart was made from. */
  readonly version: number;
  readonly chart: LagChart;
  /** Where the chart's clips stand in the text, in their order: the place to reveal, then the whole clip. */
  readonly places: readonly ClipPlace[];
}

/** Lines and characters from 0, in the client's unit: the number that slips the clip, or its name; then all of the clip. */
export interface ClipPlace {
  readonly number: WireSpan;
  readonly clip: WireSpan;
}

/** Start line, start character, end line, end character. */
export type WireSpan = readonly [number, number, number, number];

/** Client to server: `{ uri }`; the chart is shown no more. */
export const LAG_CHART_CLOSED_NOTIFICATION = 'afterclap/lagChartClosed';
