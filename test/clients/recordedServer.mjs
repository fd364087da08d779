/**
 * Stands in for the server where an editor can't be asked what it saw: starts the real one ($AFTERCLAP_SERVER) and writes down every
 * message that passes, in the folder $AFTERCLAP_RECORD: first the server's process, then a line for each message.
 */

import { spawn } from 'node:child_process';
import { appendFileSync } from 'node:fs';
import { join } from 'node:path';

const file = join(process.env.AFTERCLAP_RECORD, 'messages');
const server = spawn(process.execPath, [process.env.AFTERCLAP_SERVER, ...process.argv.slice(2)], {
  stdio: ['pipe', 'pipe', 'inherit'],
});

appendFileSync(file, `${JSON.stringify({ sender: 'server', processId: server.pid })}\n`);

/** Hands bytes on as they come, and notes each message once it is whole. */
function pass(from, to, sender) {
  let waiting = Buffer.alloc(0);
  from.on('data', (bytes) => {
    to.write(bytes);
    waiting = Buffer.concat([waiting, bytes]);
    for (;;) {
      const head = /^(?:[^\r\n]+\r\n)*?Content-Length: *(\d+)\r\n(?:[^\r\n]+\r\n)*\r\n/i.exec(waiting.toString('latin1'));
      const end = head === null ? 0 : head[0].length + Number(head[1]);
      if (head === null || waiting.length < end) return;
      const message = JSON.parse(waiting.subarray(head[0].length, end).toString('utf8'));
      appendFileSync(file, `${JSON.stringify({ sender, message })}\n`);
      waiting = waiting.subarray(end);
    }
  });
  from.on('end', () => to.end());
}

pass(process.stdin, server.stdin, 'editor');
pass(server.stdout, process.stdout, 'server');
server.on('exit', (exitCode) => {
  process.exitCode = exitCode ?? 1;
});
