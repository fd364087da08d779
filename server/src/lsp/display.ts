/**
 * The editor's settings for display: what is shown, never what is found.
 *
 * Asked of the client per document, so that folders may differ, and kept until the client says that settings changed. A
 * client that never answers, or answers nonsense, gets the defaults. Clients that can't be asked may send their settings
 * with `workspace/didChangeConfiguration`.
 */

import type { Connection } from 'vscode-languageserver';
import type { HintChoice } from '../core/views/inlayHints.ts';
import type { ClientAbilities } from './capabilities.ts';
import { CODE_LENS, choiceValue, EDITOR_SECTION, INLAY_HINTS, switchValue } from './editorSettings.ts';
import type { Ports } from './ports.ts';

interface Display {
  readonly inlayHints: HintChoice;
  readonly codeLens: boolean;
}

export interface DisplaySource {
  readonly of: (uri: string) => Promise<Display>;
  /** Settings changed; `sent` is what the notification carried. */
  readonly changed: (sent: unknown) => void;
}

const DEFAULTS: Display = { inlayHints: INLAY_HINTS.default, codeLens: CODE_LENS.default };
const PATIENCE_MS = 1000;

export function createDisplaySource(connection: Connection, ports: Ports, abilities: ClientAbilities): DisplaySource {
  const known = new Map<string, Promise<Display>>();
  let pushed: Display = DEFAULTS;
  const ask = async (uri: string): Promise<Display> => {
    const answer = connection.sendRequest<unknown>('workspace/configuration', {
      items: [{ scopeUri: uri, section: EDITOR_SECTION }],
    });
    const nothing = new Promise<null>((resolve) => ports.timers.after(PATIENCE_MS, () => resolve(null)));
    const given = await Promise.race([answer.catch(() => null), nothing]);
    return displayOf(Array.isArray(given) ? given[0] : null);
  };
  return {
    of: (uri) => {
      if (!abilities.answersConfiguration) return Promise.resolve(pushed);
      const before = known.get(uri);
      if (before !== undefined) return before;
      const asked = ask(uri);
      known.set(uri, asked);
      return asked;
    },
    changed: (sent) => {
      known.clear();
      if (!abilities.answersConfiguration) pushed = displayOf(memberOf(sent, EDITOR_SECTION) ?? sent);
    },
  };
}

/** Takes nested settings and flat ones, as editors send either. */
function displayOf(given: unknown): Display {
  const member = (name: string): unknown => memberOf(given, name) ?? memberOf(given, `${EDITOR_SECTION}.${name}`);
  return {
    inlayHints: choiceValue(INLAY_HINTS, member(INLAY_HINTS.name)),
    codeLens: switchValue(CODE_LENS, member(CODE_LENS.name)),
  };
}

function memberOf(value: unknown, name: string): unknown {
  if (typeof value !== 'object' || value === null) return undefined;
  return (value as Readonly<Record<string, unknown>>)[name];
}
