/**
 * Completion in lists, neutral XML, reports and settings, with the media that the reports and the open timelines name.
 */

import type { CompletionItem, CompletionList, Position, Range } from 'vscode-languageserver';
import type { PictureEntry, SoundEntry } from '../core/alignment/model.ts';
import {
  type Choice,
  type Completion,
  type Names,
  reportCompletionAt,
  settingsCompletionAt,
  xmlCompletionAt,
} from '../core/views/completion.ts';
import { edlCompletionAt } from '../core/views/edlCompletion.ts';
import { mediaName } from '../core/views/mediaSubject.ts';
import { auditedDocument, reportOf } from './auditedDocument.ts';
import type { AuditedDocument } from './audits.ts';
import { documentKindOf } from './documentKind.ts';
import { offsetOf, rangeOf } from './positions.ts';
import type { Session } from './session.ts';

/** A longer list is cut and asked for again with every letter. */
const LARGEST_CHOICE_COUNT = 500;
/** The protocol's CompletionItemKind 'Value'. */
const VALUE_KIND = 12;

export async function completion(session: Session, uri: string, position: Position): Promise<CompletionList | null> {
  const audited = await auditedDocument(session, uri);
  if (audited === null) return null;
  const { index } = audited.document;
  const found = await completionAt(session, audited, offsetOf(index, position, session.abilities.columnUnit));
  if (found === null) return null;
  const range = rangeOf(index, found.span, session.abilities.columnUnit);
  const typed = index.text.slice(found.span.start, found.span.end).toLowerCase();
  const fitting = found.choices.filter(({ text }) => text.toLowerCase().includes(typed));
  return {
    isIncomplete: fitting.length > LARGEST_CHOICE_COUNT,
    items: fitting.slice(0, LARGEST_CHOICE_COUNT).map((choice, at) => itemOf(choice, range, at)),
  };
}

/** In the order given, which is the order of use. */
function itemOf({ text, detail }: Choice, range: Range, at: number): CompletionItem {
  const label = text.trim();
  const sortText = String(at).padStart(4, '0');
  return { label, detail, kind: VALUE_KIND, sortText, filterText: text, textEdit: { range, newText: text } };
}

async function completionAt(session: Session, audited: AuditedDocument, offset: number): Promise<Completion | null> {
  const { document } = audited;
  const { text } = document.index;
  const kind = documentKindOf(document.uri, document.languageId);
  if (kind === null) return null;
  switch (kind.kind) {
    case 'alignment':
      return reportCompletionAt(text, offset, await namesFor(session, audited));
    case 'settings':
      // Our own client completes settings from their schema; twice the same list would help nobody.
      return session.abilities.showsStatus ? null : settingsCompletionAt(text, offset);
    case 'timeline': {
      const names = await namesFor(session, audited);
      if (kind.format === 'edl') return edlCompletionAt(text, offset, names.media);
      return kind.format === 'xml' ? xmlCompletionAt(text, offset, names) : null;
    }
  }
}

/** What the document's reports know; in a report also what the open timelines name, since that is what it still lacks. */
async function namesFor(session: Session, audited: AuditedDocument): Promise<Names> {
  const own = reportOf(audited.document);
  const reports = own === null ? audited.project.reports.map(({ report }) => report) : [own];
  const pictures = reports.flatMap((report) => report.pictures);
  const sounds = reports.flatMap((report) => report.sounds);
  const media = new Map<string, Choice>();
  for (const { key, names } of [...pictures, ...sounds]) {
    for (const { text } of names) media.set(text, { text, detail: key });
  }
  if (own !== null) {
    for (const document of session.store.all()) {
      const timeline = (await session.audits.of(document))?.result?.timeline;
      for (const clip of timeline?.clips ?? []) {
        const name = mediaName(clip);
        if (name !== null && !media.has(name)) media.set(name, { text: name, detail: `in ${timeline?.name ?? 'a timeline'}` });
      }
    }
  }
  return { media: [...media.values()], pictures: choices(pictures), sounds: choices(sounds) };
}

function choices(entries: readonly (PictureEntry | SoundEntry)[]): readonly Choice[] {
  return entries.map(({ key, names }) => ({ text: key, detail: names[0]?.text ?? '' }));
}
