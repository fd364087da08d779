/**
 * The sound engine of a session, loaded when the clap desk first asks, and bytes that come through the client.
 *
 * Files of virtual folders, and all of them where the server runs in a browser, are read by the client, if it offers to. Bytes
 * travel as base64, since a message is text on most of its ways.
 */

import type { Connection } from 'vscode-languageserver';
import type { OpenBytes, Recordings } from '../sound/desk/recordings.ts';
import { bytesOfBase64 } from './base64.ts';
import type { ClientAbilities } from './capabilities.ts';
import { type BytesAnswer, type BytesParams, OPEN_BYTES_REQUEST, READ_BYTES_REQUEST } from './messages.ts';
import type { Ports } from './ports.ts';

export function createRecordings(connection: Connection, ports: Ports, abilities: ClientAbilities): () => Promise<Recordings> {
  let loading: Promise<Recordings> | null = null;
  const open = abilities.readsBytes ? throughClient(connection) : refuse;
  return () => {
    loading ??= ports.soundEngine(abilities.soundEngineUri).then((makeRecordings) => makeRecordings(open));
    loading.catch(() => {
      loading = null;
    });
    return loading;
  };
}

const refuse: OpenBytes = async () => ({
  ok: false,
  reason: 'is not on this machine, and this editor reads no recordings from elsewhere.',
});

function throughClient(connection: Connection): OpenBytes {
  return async (uri) => {
    try {
      const { size, refusal } = await connection.sendRequest<BytesAnswer>(OPEN_BYTES_REQUEST, { uri });
      if (size === null) return { ok: false, reason: refusal ?? "can't be read." };
      const read = async (offset: number, length: number): Promise<Uint8Array> => {
        const params: BytesParams = { uri, start: offset, end: Math.min(offset + length, size) };
        if (params.end <= offset) return new Uint8Array(0);
        return bytesOfBase64((await connection.sendRequest<string | null>(READ_BYTES_REQUEST, params)) ?? '');
      };
      return { ok: true, value: { size, read }, close: async () => undefined };
    } catch (error) {
      return {
        ok: false,
        reason: `can't be read through the editor (${error instanceof Error ? error.message : String(error)}).`,
      };
    }
  };
}
