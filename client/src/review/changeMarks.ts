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
  const marks = new Map<string, readonly vscode.DecorationOptions[]>();
  const show = (editor: vscode.TextEditor): void => {
    const isWanted = switchValue(CHANGE_MARKS, vscode.workspace.getConfiguration().get(SETTING));
    editor.setDecorations(decoration, isWanted ? (marks.get(editor.document.uri.toString()) ?? []) : []);
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
      showAll();
    },
    dispose: () => subscriptions.dispose(),
  };
}

function marksOf(review: ReviewData): readonly vscode.DecorationOptions[] {
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
  return [...sentences.values()].map(({ range, texts }) => ({ range, hoverMessage: hoverOf([...texts]) }));
}

function hoverOf(texts: readonly string[]): vscode.MarkdownString {
  const hover = new vscode.MarkdownString('**Since the last commit**');
  // Names of clips are text, whatever they look like.
  for (const text of texts) hover.appendMarkdown('\n\n').appendText(text);
  return hover;
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
