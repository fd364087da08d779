/**
 * Reviews as read-only documents: one for each timeline, with links into both versions.
 *
 * A review lives as long as its document is open. Links go through a command, so that a clip is shown in the window that has its
 * timeline already, beside the review and not over it.
 */

import * as vscode from 'vscode';
import { editorRange } from './changeMarks.ts';
import type { ReviewedRange } from './reviewData.ts';
import type { ReviewText, Version } from './reviewText.ts';

const REVIEW_SCHEME = 'afterclap-review';
const REVEAL_COMMAND = 'afterclap.revealReviewed';
/** The revision that reviews are made against. */
const REVISION = 'HEAD';

export interface ReviewDocuments {
  /** Shows `review` beside its timeline, in place of an earlier one. */
  readonly show: (timeline: vscode.Uri, review: ReviewText) => Promise<void>;
  /** The same without bringing it to the front; nothing where none is open. */
  readonly update: (timeline: vscode.Uri, review: ReviewText) => void;
  readonly isOpen: (timeline: vscode.Uri) => boolean;
  readonly dispose: () => void;
}

interface RevealArgument {
  readonly timeline: string;
  readonly version: Version;
  readonly range: ReviewedRange;
}

export function createReviewDocuments(onClosed: (timeline: vscode.Uri) => void): ReviewDocuments {
  const reviews = new Map<string, { readonly timeline: vscode.Uri; readonly review: ReviewText }>();
  const changed = new vscode.EventEmitter<vscode.Uri>();
  const put = (timeline: vscode.Uri, review: ReviewText): vscode.Uri => {
    const uri = reviewUri(timeline);
    reviews.set(uri.toString(), { timeline, review });
    // The editor keeps texts for a while after their tabs are closed.
    changed.fire(uri);
    return uri;
  };
  const subscriptions = vscode.Disposable.from(
    changed,
    vscode.workspace.registerTextDocumentContentProvider(REVIEW_SCHEME, {
      onDidChange: changed.event,
      provideTextDocumentContent: (uri) => reviews.get(uri.toString())?.review.text ?? GONE,
    }),
    vscode.languages.registerDocumentLinkProvider(
      { scheme: REVIEW_SCHEME },
      {
        provideDocumentLinks: (document) => {
          const shown = reviews.get(document.uri.toString());
          // A text that is about to be replaced has other places.
          return shown === undefined || shown.review.text !== document.getText() ? [] : linksOf(document, shown);
        },
      },
    ),
    vscode.commands.registerCommand(REVEAL_COMMAND, reveal),
    vscode.window.tabGroups.onDidChangeTabs(({ closed }) => {
      if (closed.length === 0) return;
      for (const [key, { timeline }] of reviews) {
        const uri = reviewUri(timeline);
        if (!closed.some((tab) => shows(tab, uri)) || columnOf(uri) !== undefined) continue;
        reviews.delete(key);
        onClosed(timeline);
      }
    }),
  );
  return {
    show: async (timeline, review) => {
      const document = await vscode.workspace.openTextDocument(put(timeline, review));
      const viewColumn = columnOf(document.uri) ?? vscode.ViewColumn.Beside;
      await vscode.window.showTextDocument(document, { viewColumn, preview: false });
    },
    update: put,
    isOpen: (timeline) => reviews.has(reviewUri(timeline).toString()),
    dispose: () => subscriptions.dispose(),
  };
}

/** Its ending gives the document its language, which the manifest knows. */
const TITLE = 'since the last commit';

/** After the editor was closed and opened again, its tabs are there and the reviews are not. */
const GONE = "This review is gone. Run 'Afterclap: Compare with the Last Commit' on the timeline again.\n";

function reviewUri(timeline: vscode.Uri): vscode.Uri {
  const name = timeline.path.split('/').at(-1) ?? '';
  return vscode.Uri.from({ scheme: REVIEW_SCHEME, path: `/${name} ${TITLE}`, query: timeline.toString() });
}

function linksOf(
  document: vscode.TextDocument,
  { timeline, review }: { readonly timeline: vscode.Uri; readonly review: ReviewText },
): vscode.DocumentLink[] {
  return review.links.map(({ start, end, version, range }) => {
    const argument: RevealArgument = { timeline: timeline.toString(), version, range };
    const link = new vscode.DocumentLink(
      new vscode.Range(document.positionAt(start), document.positionAt(end)),
      vscode.Uri.parse(`command:${REVEAL_COMMAND}?${encodeURIComponent(JSON.stringify([argument]))}`),
    );
    link.tooltip = version === 'new' ? 'Show this place in the timeline' : 'Show this place as it was in the last commit';
    return link;
  });
}

async function reveal({ timeline, version, range }: RevealArgument): Promise<void> {
  const now = vscode.Uri.parse(timeline, true);
  const uri = version === 'new' ? now : await committedUri(now);
  if (uri === null) {
    await vscode.window.showInformationMessage("The editor's own Git extension is off, and it is what shows files of a commit.");
    return;
  }
  await vscode.window.showTextDocument(uri, {
    viewColumn: columnOf(uri) ?? columnOf(now) ?? vscode.ViewColumn.One,
    selection: editorRange(range),
  });
}

/** Where the file is open already, in front or behind; undefined when it is not. */
function columnOf(uri: vscode.Uri): vscode.ViewColumn | undefined {
  return vscode.window.tabGroups.all.find(({ tabs }) => tabs.some((tab) => shows(tab, uri)))?.viewColumn;
}

function shows({ input }: vscode.Tab, uri: vscode.Uri): boolean {
  return input instanceof vscode.TabInputText && input.uri.toString() === uri.toString();
}

/** The one function that is used of the editor's own Git extension. */
interface GitExtension {
  readonly getAPI: (version: 1) => { readonly toGitUri: (uri: vscode.Uri, revision: string) => vscode.Uri };
}

/** Null where the Git extension is not there, or turned off. */
async function committedUri(file: vscode.Uri): Promise<vscode.Uri | null> {
  try {
    const git = await vscode.extensions.getExtension<GitExtension>('vscode.git')?.activate();
    return git?.getAPI(1).toGitUri(file, REVISION) ?? null;
  } catch {
    return null;
  }
}
