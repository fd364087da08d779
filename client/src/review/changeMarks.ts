/**
 * Marks the clips that changed, in the timeline itself, for as long as its review is open: a small triangle beside the line, and the
 * sentence about it when the mouse rests on the place. Nothing is put between the characters of the timeline.
 */

import * as vscode from 'vscode';
import { CHANGE_MARKS, EDITOR_SECTION, switchValue } from '../../../server/src/lsp/editorSettings.ts';
import type { ReviewData, ReviewedRange } from './reviewData.ts';

export interface ChangeMarks {
  /** Replaces the marks of this timeline; null takes them away. */
  readonly set: (timeline: vscode.Uri, review: ReviewData | null) => void;
  readonly dispose: () => void;
}

const TIMELINES = ['otio', 'afterclap-xml', 'afterclap-edl', 'afterclap-cpl'];
const SETTING = `${EDITOR_SECTION}.${CHANGE_MARKS.name}`;

/** Grey with more than 3:1 against a white and a black ground, since a picture knows no theme. The Greek letter for a difference. */
const DELTA =
  "<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 16 16'><path d='M8 4 13 12.5H3Z' fill='none' stroke='#828282' stroke-width='1.6' stroke-linejoin='round'/></svg>";

export function createChangeMarks(): ChangeMarks {
  const decoration = vscode.window.createTextEditorDecorationType({
    gutterIconPath: vscode.Uri.parse(`data:image/svg+xml;base64,${base64(DELTA)}`),
    gutterIconSize: 'contain',
    overviewRulerColor: new vscode.ThemeColor('editorOverviewRuler.modifiedForeground'),
    overviewRulerLane: vscode.OverviewRulerLane.Left,
    rangeBehavior: vscode.DecorationRangeBehavior.ClosedClosed,
  });
  const marks = new Map<string, readonly Mark[]>();
  const marksIn = ({ uri }: vscode.TextDocument): readonly Mark[] =>
    switchValue(CHANGE_MARKS, vscode.workspace.getConfiguration().get(SETTING)) ? (marks.get(uri.toString()) ?? []) : [];
  const show = (editor: vscode.TextEditor): void => {
    const ranges = marksIn(editor.document).map(({ range }) => range);
    editor.setDecorations(decoration, ranges);
  };
  let hovers: vscode.Disposable | null = null;
  // Of two hovers the editor puts that of the later comer first. How a clip changed is asked by whoever reads a review, and would not
  // be seen below the numbers that the server shows.
  const comeLast = (): void => {
    hovers?.dispose();
    hovers = vscode.languages.registerHoverProvider(TIMELINES, {
      provideHover: (document, position) => {
        // A review is about the text that was saved; in another one its places are not known.
        const mark = document.isDirty ? undefined : marksIn(document).find(({ range }) => range.contains(position));
        return mark === undefined ? null : new vscode.Hover(hoverOf(mark.texts), mark.range);
      },
    });
  };
  const showAll = (): void => vscode.window.visibleTextEditors.forEach(show);
  const subscriptions = vscode.Disposable.from(
    decoration,
    vscode.window.onDidChangeVisibleTextEditors(showAll),
    vscode.workspace.onDidChangeConfiguration((event) => {
      if (event.affectsConfiguration(SETTING)) showAll();
    }),
  );
  return {
    set: (timeline, review) => {
      if (review === null) marks.delete(timeline.toString());
      else marks.set(timeline.toString(), marksOf(review));
      comeLast();
      showAll();
    },
    dispose: () => {
      hovers?.dispose();
      subscriptions.dispose();
    },
  };
}

interface Mark {
  readonly range: vscode.Range;
  readonly texts: readonly string[];
}

function marksOf(review: ReviewData): readonly Mark[] {
  const sentences = new Map<string, { readonly range: vscode.Range; readonly texts: Set<string> }>();
  const add = (range: ReviewedRange | undefined, text: string): void => {
    if (range === undefined) return;
    const place = editorRange(range);
    const key = `${place.start.line}:${place.start.character}`;
    const known = sentences.get(key) ?? { range: place, texts: new Set<string>() };
    known.texts.add(text);
    sentences.set(key, known);
  };
  for (const { soundClip, text } of review.sync) add(soundClip.range, text);
  for (const { clips, text } of review.blocks) for (const { range } of clips) add(range, text);
  for (const { new: clips, text } of review.clips) for (const { range } of clips) add(range, text);
  return [...sentences.values()].map(({ range, texts }) => ({ range, texts: [...texts] }));
}

function hoverOf(texts: readonly string[]): vscode.MarkdownString {
  const hover = new vscode.MarkdownString('**Since the last commit**');
  for (const text of texts) hover.appendMarkdown(`\n\n${escaped(text)}`);
  return hover;
}

/** Names of clips are text, whatever they look like. The editor's own escape makes every blank one that no line breaks at. */
function escaped(text: string): string {
  return text.replace(/\s+/g, ' ').replace(/[!-/:-@[-`{-~]/g, '\\$&');
}

/** Positions of the editor count from 0. */
export function editorRange({ start, end }: ReviewedRange): vscode.Range {
  return new vscode.Range(start.line - 1, start.column - 1, end.line - 1, end.column - 1);
}

/** `btoa` is there in Node and in browsers; the picture is ASCII. */
declare function btoa(text: string): string;
function base64(text: string): string {
  return btoa(text);
}
