/**
 * Quick fixes and the fix-all source action, worked out from the current text each time.
 *
 * Nothing is remembered between a diagnostic and its action: findings are found again in a fresh audit by the place the
 * client asks about, so a server that was restarted in between answers the same.
 */

import { type CodeAction, type CodeActionContext, CodeActionKind, type Diagnostic } from 'vscode-languageserver';
import { type Audit, editsForFix, fixAll, fixesFor } from '../core/audit.ts';
import type { Finding, Fix } from '../core/rules/finding.ts';
import type { Span } from '../core/text/span.ts';
import { ACCEPT_WITH_REASON_COMMAND, type ClientAbilities, FIX_ALL_KIND } from './capabilities.ts';
import type { DiagnosticData } from './diagnostics.ts';
import { workspaceEditOf } from './edits.ts';
import type { AcceptArgument } from './messages.ts';
import { rangeOf } from './positions.ts';
import type { OpenDocument } from './textStore.ts';
import { workspaceFixAction } from './workspaceFixes.ts';

export interface CodeActionInput {
  readonly document: OpenDocument;
  readonly result: Audit;
  /** What the client asks about. */
  readonly span: Span;
  readonly context: CodeActionContext;
  readonly abilities: ClientAbilities;
  /** There is a workspace around the document. */
  readonly hasWorkspace: boolean;
}

export function codeActionsOf(input: CodeActionInput): readonly CodeAction[] {
  const actions = isWanted(input.context, CodeActionKind.QuickFix) ? [...quickFixes(input), ...fixesOfOneCode(input)] : [];
  if (isFixAllWanted(input.context)) actions.push(...fixAllAction(input));
  return withoutRepeatedTitles(actions);
}

/** The edits of all safe fixes, and what they do in words. */
export function safeFixes(result: Audit): { readonly edits: ReturnType<typeof fixAll>['edits']; readonly message: string } {
  const { edits, fixes } = fixAll(result, null);
  if (fixes.length === 0) return { edits, message: 'There is nothing here that a safe fix could put right.' };
  const done = fixes.length === 1 ? `${(fixes[0] as Fix).title}.` : `${fixes.length} safe fixes were made.`;
  return { edits, message: `${done} Keep the original, and check by eye and ear.` };
}

/** The finding of `code` that stands at `span`, and the fix that accepts it; null when there is none any more. */
export function acceptFixAt(result: Audit, code: string, span: Span): Fix | null {
  for (const finding of result.findings) {
    if (finding.code !== code || finding.place.file !== null || finding.place.span.start !== span.start) continue;
    const fix = fixesFor(result, finding).find(isAcceptance);
    if (fix !== undefined) return fix;
  }
  return null;
}

/** `fix` with the person's own reason. */
export function withReason(fix: Fix, reason: string): Fix {
  return {
    ...fix,
    changes: fix.changes.map((change) => (change.kind === 'accept' ? { ...change, reason } : change)),
  };
}

/** A person who selects more of the text than this wants the fix-all action, not a list of hundreds. */
const LARGEST_FINDING_COUNT = 50;

function* quickFixes(input: CodeActionInput): Generator<CodeAction> {
  const asked = input.result.findings.filter((finding) => isAsked(finding, input.span));
  for (const finding of asked.slice(0, LARGEST_FINDING_COUNT)) {
    const diagnostic = input.context.diagnostics.find((candidate) => isAbout(input, candidate, finding));
    for (const fix of fixesFor(input.result, finding)) {
      const action = actionOf(input, finding, fix);
      if (action === null) continue;
      if (diagnostic !== undefined) action.diagnostics = [diagnostic];
      yield action;
    }
  }
}

function isAsked({ place }: Finding, span: Span): boolean {
  return place.file === null && place.span.start <= span.end && span.start <= place.span.end;
}

function isAbout({ document, abilities }: CodeActionInput, diagnostic: Diagnostic, finding: Finding): boolean {
  if (diagnostic.code !== finding.code) return false;
  const { clips } = (diagnostic.data ?? {}) as Partial<DiagnosticData>;
  if (Array.isArray(clips)) return clips.length === finding.clips.length && clips.every((clip, at) => clip === finding.clips[at]);
  const { start } = rangeOf(document.index, finding.place.span, abilities.columnUnit);
  return diagnostic.range.start.line === start.line && diagnostic.range.start.character === start.character;
}

function actionOf({ document, result, abilities }: CodeActionInput, finding: Finding, fix: Fix): CodeAction | null {
  if (isAcceptance(fix) && abilities.asksForReason) {
    const argument: AcceptArgument = {
      uri: document.uri,
      code: finding.code,
      range: rangeOf(document.index, finding.place.span, abilities.columnUnit),
      subject: result.timeline.clips[finding.clips[0] ?? -1]?.name ?? 'this place',
    };
    const title = `Accept this ${finding.code}, with a reason…`;
    return {
      title,
      kind: CodeActionKind.QuickFix,
      command: { title, command: ACCEPT_WITH_REASON_COMMAND, arguments: [argument] },
    };
  }
  const edits = editsForFix(result, fix);
  if (!edits.ok || edits.edits.length === 0) return null;
  const action: CodeAction = {
    title: fix.title,
    kind: CodeActionKind.QuickFix,
    edit: workspaceEditOf(document, edits.edits, abilities),
  };
  if (abilities.takesPreferred && fix.isPreferred) action.isPreferred = true;
  return action;
}

function isAcceptance(fix: Fix): boolean {
  return fix.changes.some((change) => change.kind === 'accept');
}

/**
 * 'All of this code': in this timeline where there is more than one, and in the workspace. Worked out only when a person opens the
 * menu, since it looks at all findings.
 */
function* fixesOfOneCode({ document, result, span, context, abilities, hasWorkspace }: CodeActionInput): Generator<CodeAction> {
  if (context.triggerKind === 2) return;
  const codes = new Set(result.findings.filter((finding) => isAsked(finding, span)).map(({ code }) => code));
  for (const code of codes) {
    const { edits, fixes } = fixAll(result, [code]);
    if (fixes.length > 1) {
      const title = `Make all ${fixes.length} safe fixes for ${code} in this timeline`;
      yield { title, kind: CodeActionKind.QuickFix, edit: workspaceEditOf(document, edits, abilities) };
    }
    const wider = hasWorkspace && fixes.length > 0 ? workspaceFixAction(code, abilities) : null;
    if (wider !== null) yield wider;
  }
}

function fixAllAction({ document, result, abilities }: CodeActionInput): readonly CodeAction[] {
  const { edits } = safeFixes(result);
  if (edits.length === 0) return [];
  const title = 'Fix all safe findings of this timeline';
  return [{ title, kind: FIX_ALL_KIND, edit: workspaceEditOf(document, edits, abilities) }];
}

/** Kinds are dotted words, each wider than what follows its dot. */
function isWanted({ only }: CodeActionContext, kind: string): boolean {
  return only === undefined || only.some((wanted) => kind === wanted || kind.startsWith(`${wanted}.`) || wanted === '');
}

/** Fix-all runs on save in many editors, so it must be asked for: by its kind, or by a person who opens the menu. */
function isFixAllWanted(context: CodeActionContext): boolean {
  return context.only === undefined ? context.triggerKind !== 2 : isWanted(context, FIX_ALL_KIND);
}

/** Two findings on one clip may offer the same slip. */
function withoutRepeatedTitles(actions: readonly CodeAction[]): readonly CodeAction[] {
  const seen = new Set<string>();
  return actions.filter(({ title, edit }) => {
    const key = `${title} ${JSON.stringify(edit)}`;
    if (seen.has(key)) return false;
    seen.add(key);
    return true;
  });
}
