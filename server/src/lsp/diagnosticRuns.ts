/**
 * From a document to its diagnostics: the one function that push and pull share.
 *
 * A result has an identity: as long as a document's diagnostics come out the same, they keep it, however often the text or
 * the report was touched in between, and clients that ask with it are told 'unchanged'.
 */

import type { Diagnostic } from 'vscode-languageserver';
import type { AuditedDocument, Audits } from './audits.ts';
import type { ClientAbilities } from './capabilities.ts';
import { diagnosticsOf } from './diagnostics.ts';
import type { ProjectSource } from './projects.ts';
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
  readonly forget: (uri: string) => void;
}

interface RunInput {
  readonly audits: Audits;
  readonly projects: ProjectSource;
  readonly schedule: Schedule;
  readonly abilities: ClientAbilities;
  readonly documentationUri: string | null;
  /** Unlike that of any other run of the server, so that a client's old identities are never taken for ours. */
  readonly runId: string;
  readonly openClosed: (uri: string) => Promise<OpenDocument | null>;
  /** Told of every audit of an open document, once. */
  readonly onAudited: (audited: AuditedDocument) => void;
}

interface Run {
  readonly audited: AuditedDocument;
  readonly published: Published;
  readonly fingerprint: string;
}

export function createDiagnosticRuns(input: RunInput): DiagnosticRuns {
  const runs = new Map<string, Run>();
  let count = 0;
  const publish = (audited: AuditedDocument): Published => {
    const { document, project, findings } = audited;
    const before = runs.get(document.uri);
    if (before?.audited === audited) return before.published;
    const items = diagnosticsOf({
      uri: document.uri,
      index: document.index,
      findings,
      fileNamed: (file) => project.fileNamed(file),
      abilities: input.abilities,
      documentationUri: input.documentationUri,
    });
    const fingerprint = JSON.stringify(items);
    if (before !== undefined && before.fingerprint === fingerprint) {
      runs.set(document.uri, { ...before, audited });
      return before.published;
    }
    count += 1;
    const published = { resultId: `${input.runId}.${count}`, items };
    runs.set(document.uri, { audited, published, fingerprint });
    return published;
  };
  return {
    of: async (document) => {
      const audited = await input.audits.of(document);
      if (audited === null) return null;
      const isNew = runs.get(document.uri)?.audited !== audited;
      const published = publish(audited);
      if (isNew) {
        input.schedule.ran(document.uri, audited.milliseconds);
        input.onAudited(audited);
      }
      return published;
    },
    ofClosed: async (uri) => {
      const document = await input.openClosed(uri);
      const audited = document === null ? null : await input.audits.of(document);
      return audited === null ? null : publish(audited);
    },
    forget: (uri) => {
      runs.delete(uri);
    },
  };
}
