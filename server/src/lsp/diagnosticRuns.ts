/**
 * From a document to its diagnostics: the one function that push and pull share.
 *
 * A result is named after what it says. As long as a document's diagnostics come out the same, they have the same name,
 * however often the text or the report was touched in between and whichever server worked them out, and a client that asks
 * with it is told 'unchanged'. So nothing has to be remembered for that.
 */

import type { Diagnostic } from 'vscode-languageserver';
import type { AuditedDocument, Audits } from './audits.ts';
import type { ClientAbilities } from './capabilities.ts';
import { diagnosticsOf } from './diagnostics.ts';
import type { Schedule } from './schedule.ts';
import type { OpenDocument } from './textStore.ts';

export interface Published {
  readonly resultId: string;
  readonly items: readonly Diagnostic[];
}

export interface DiagnosticRuns {
  /** Null for documents that are none of ours. */
  readonly of: (document: OpenDocument) => Promise<Published | null>;
  /** For a document that is not open, read from disk; null when it can't be read. */
  readonly ofClosed: (uri: string) => Promise<Published | null>;
  /** For a document that was audited already, open or not. */
  readonly ofAudited: (audited: AuditedDocument) => Published;
}

interface RunInput {
  readonly audits: Audits;
  readonly schedule: Schedule;
  readonly abilities: ClientAbilities;
  readonly documentationUri: string | null;
  readonly openClosed: (uri: string) => Promise<OpenDocument | null>;
  /** Told of every audit of an open document, once. */
  readonly onAudited: (audited: AuditedDocument) => void;
}

export function createDiagnosticRuns(input: RunInput): DiagnosticRuns {
  const known = new WeakMap<AuditedDocument, Published>();
  const publish = (audited: AuditedDocument): Published => {
    const { document, project, findings } = audited;
    const items = diagnosticsOf({
      uri: document.uri,
      index: document.index,
      findings,
      fileNamed: (file) => project.fileNamed(file),
      abilities: input.abilities,
      documentationUri: input.documentationUri,
    });
    return { resultId: nameOf(JSON.stringify(items)), items };
  };
  return {
    of: async (document) => {
      const audited = await input.audits.of(document);
      if (audited === null) return null;
      const before = known.get(audited);
      if (before !== undefined) return before;
      const published = publish(audited);
      known.set(audited, published);
      input.schedule.ran(document.uri, audited.milliseconds);
      input.onAudited(audited);
      return published;
    },
    ofClosed: async (uri) => {
      const document = await input.openClosed(uri);
      const audited = document === null ? null : await input.audits.of(document);
      return audited === null ? null : publish(audited);
    },
    ofAudited: (audited) => {
      const published = known.get(audited) ?? publish(audited);
      known.set(audited, published);
      return published;
    },
  };
}

/** Two 32-bit sums with different multipliers (FNV-1a, prime 16777619, and one more): enough to tell results apart. */
function nameOf(text: string): string {
  let first = 0x811c9dc5;
  let second = 0x1b873593;
  for (let at = 0; at < text.length; at += 1) {
    const code = text.charCodeAt(at);
    first = Math.imul(first ^ code, 0x01000193);
    second = Math.imul(second ^ code, 0x85ebca6b);
  }
  return `${text.length.toString(36)}-${(first >>> 0).toString(36)}-${(second >>> 0).toString(36)}`;
}
