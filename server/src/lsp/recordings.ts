/**
 * The sound engine of a session, loaded when the clap desk first asks, and bytes that come through the client.
 *
 * Files of virtual folders, and all of them where the server runs in a browser, are read by the client, if it offers to. Bytes
 * travel as base64, since a message is text on most of its ways; ranges that are asked for together travel in one message, since the
 * way is long.
 */

import type { Connection } from 'vscode-languageserver';
import type { OpenBytes, Recordings } from '../sound/desk/recordings.ts';
import { bytesOfBase64 } from './base64.ts';
import type { ClientAbilities } from './capabilities.ts';
import { type ByteRange, type BytesAnswer, type BytesParams, OPEN_BYTES_REQUEST, READ_BYTES_REQUEST } from './messages.ts';
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
      const readTogether = gathered(async (ranges: readonly ByteRange[]) => {
        const params: BytesParams = { uri, ranges };
        const blocks = await connection.sendRequest<readonly string[] | null>(READ_BYTES_REQUEST, params);
        // Taken for the end of the file, it would be drawn as silence, and no clap would be heard in it.
        if (blocks === null) throw new Error('the editor reads it no more');
        return ranges.map((_, index) => bytesOfBase64(blocks[index] ?? ''));
      });
      const read = async (offset: number, length: number): Promise<Uint8Array> => {
        const end = Math.min(offset + length, size);
        return end <= offset ? new Uint8Array(0) : readTogether({ start: offset, end });
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

/** Questions that come before anybody waits for an answer go out as one. */
function gathered<Question, Answer>(
  askAll: (questions: readonly Question[]) => Promise<readonly Answer[]>,
): (question: Question) => Promise<Answer> {
  let questions: Question[] = [];
  let answers: Promise<readonly Answer[]> | null = null;
  return async (question) => {
    answers ??= Promise.resolve().then(() => {
      const all = questions;
      questions = [];
      answers = null;
      return askAll(all);
    });
    const index = questions.push(question) - 1;
    return (await answers)[index] as Answer;
  };
}
