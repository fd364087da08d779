/**
 * The lag chart as a read-only document, for every editor that shows documents of a server (`workspace/textDocumentContent`).
 *
 * Its URI is 'afterclap-lags:', the timeline's URI, '.txt': so it leads back to the timeline, and its name is that of a text and not
 * of a timeline, which an editor would send back to be checked. What was asked for is shown, as far as we know, until it is closed:
 * the editor is told to ask again whenever the timeline or its report changes, after the same pause as for diagnostics.
 */

import { type Connection, ErrorCodes, ResponseError, type TextDocumentContentResult } from 'vscode-languageserver';
import { lagsText } from '../core/views/lagsText.ts';
import type { LifeCycle } from './lifeCycle.ts';
import type { Session } from './session.ts';
import { tell } from './tell.ts';

export const LAGS_SCHEME = 'afterclap-lags';

const REQUEST = 'workspace/textDocumentContent';
/** As long as the lag chart waits. */
const REPORT_PAUSE_MS = 250;
/** Some editors write the colon of the inner URI as an escape. */
const URI_FORM = new RegExp(`^${LAGS_SCHEME}:([a-z][a-z0-9+.-]*)(?::|%3a)(.*)\\.txt$`, 'is');

export interface LagsTexts {
  /** The text of a document changed, or it was closed. */
  readonly changed: (uri: string) => void;
  /** A report or settings file changed. */
  readonly projectChanged: () => void;
}

export function createLagsTexts(session: Session, connection: Connection, { request }: LifeCycle): LagsTexts {
  /** The timeline of each text that was asked for. */
  const shown = new Map<string, string>();
  const waiting = new Map<string, () => void>();
  const refreshIn = (milliseconds: number, text: string): void => {
    waiting.get(text)?.();
    const cancel = session.ports.timers.after(milliseconds, () => {
      waiting.delete(text);
      if (shown.has(text)) tell(connection.sendRequest(`${REQUEST}/refresh`, { uri: text }));
    });
    waiting.set(text, cancel);
  };
  const answer = async ({ uri }: { readonly uri: string }): Promise<TextDocumentContentResult> => {
    const form = URI_FORM.exec(uri);
    if (form === null) {
      throw new ResponseError(
        ErrorCodes.InvalidParams,
        `'${uri}' is no list of lags. It has to be '${LAGS_SCHEME}:', the URI of a timeline, '.txt'.`,
      );
    }
    const timeline = `${form[1]}:${form[2]}`;
    shown.set(uri, timeline);
    return { text: await textOf(session, timeline) };
  };
  // Bound for editors alone that were told of it: to all others the method is unknown.
  if (session.abilities.showsTexts) connection.onRequest(REQUEST, request('The list of lags', answer));
  return {
    changed: (uri) => {
      if (session.store.get(uri) === null) shown.delete(uri);
      for (const [text, timeline] of shown) if (timeline === uri) refreshIn(session.schedule.waitFor(uri), text);
    },
    projectChanged: () => {
      for (const text of shown.keys()) refreshIn(REPORT_PAUSE_MS, text);
    },
  };
}

/** A timeline that can't be read says so in the text, which is asked for again once it can. */
async function textOf(session: Session, uri: string): Promise<string> {
  const { store, workspace, audits } = session;
  const document = await workspace.document(session, uri);
  const audited = document === null ? null : await audits.of(document);
  if (store.get(uri) === null) audits.closed(uri);
  if (audited?.result) return lagsText(audited.result, audited.project.reason);
  return `${uri} ${document === null ? "can't be read" : 'is no timeline'}.\n`;
}
