/**
 * The lag chart of an open timeline, and who wants to be told when it changes.
 *
 * A chart is made from the audit that diagnostics use, so asking for one costs no second audit. Followed charts wait out the same
 * pause as diagnostics while somebody types. What is followed is a list of names and nothing more: everything else is worked out
 * again from the open text.
 */

import type { Connection } from 'vscode-languageserver';
import type { Clip } from '../core/timeline/model.ts';
import { lagChart } from '../core/views/lagChart.ts';
import type { AuditedDocument } from './audits.ts';
import {
  type ClipPlace,
  LAG_CHART_NOTIFICATION,
  type LagChartAnswer,
  type LagChartParams,
  type WireSpan,
} from './lagChartMessages.ts';
import type { LifeCycle } from './lifeCycle.ts';
import { rangesOf } from './positions.ts';
import type { Session } from './session.ts';

/** Changes of reports come in bursts; as long as the pause in which diagnostics are asked for again. */
const REPORT_PAUSE_MS = 250;

export interface LagCharts {
  readonly answer: (params: LagChartParams) => Promise<LagChartAnswer | null>;
  /** The text of a document changed. */
  readonly textChanged: (uri: string) => void;
  /** A report or settings file changed: every followed chart may be another one. */
  readonly projectChanged: () => void;
  /** The document was closed, or its chart. */
  readonly closed: (uri: string) => void;
}

export function createLagCharts(session: Session, connection: Connection, lifeCycle: LifeCycle): LagCharts {
  const followed = new Set<string>();
  const waiting = new Map<string, () => void>();
  const chartOf = async (uri: string): Promise<LagChartAnswer | null> => {
    const document = session.store.get(uri);
    const audited = document === null ? null : await session.audits.of(document);
    return audited === null ? null : answerOf(session, audited);
  };
  const send = async (uri: string): Promise<void> => {
    const answer = await chartOf(uri);
    // While the chart was made, the text may have moved on or the chart been closed; a newer one is on its way then.
    if (answer === null || !followed.has(uri) || session.store.get(uri)?.version !== answer.version) return;
    await connection.sendNotification(LAG_CHART_NOTIFICATION, answer);
  };
  const takeBack = (uri: string): void => {
    waiting.get(uri)?.();
    waiting.delete(uri);
  };
  const schedule = (uri: string, milliseconds: number): void => {
    takeBack(uri);
    const cancel = session.ports.timers.after(milliseconds, () => {
      waiting.delete(uri);
      send(uri).catch((error: unknown) => lifeCycle.reportBug('The lag chart', error));
    });
    waiting.set(uri, cancel);
  };
  return {
    answer: ({ uri, isFollowed }) => {
      if (isFollowed && session.store.get(uri) !== null) followed.add(uri);
      return chartOf(uri);
    },
    textChanged: (uri) => {
      if (followed.has(uri)) schedule(uri, session.schedule.waitFor(uri));
    },
    projectChanged: () => {
      for (const uri of followed) schedule(uri, REPORT_PAUSE_MS);
    },
    closed: (uri) => {
      followed.delete(uri);
      takeBack(uri);
    },
  };
}

function answerOf({ abilities }: Session, { document, result, project }: AuditedDocument): LagChartAnswer | null {
  if (result === null) return null;
  const chart = lagChart(result, project.reason);
  const clips = chart.clips.map(({ index }) => result.timeline.clips[index] as Clip);
  const ranges = rangesOf(
    document.index,
    clips.flatMap((clip) => [clip.start?.span ?? clip.nameSpan ?? clip.span, clip.span]),
    abilities.columnUnit,
  );
  const wire = (at: number): WireSpan => {
    const { start, end } = ranges[at] as (typeof ranges)[number];
    return [start.line, start.character, end.line, end.character];
  };
  const places = clips.map((_, at): ClipPlace => ({ number: wire(2 * at), clip: wire(2 * at + 1) }));
  return { uri: document.uri, version: document.version, chart, places };
}
