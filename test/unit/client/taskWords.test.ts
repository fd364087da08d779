/**
 * Tasks of the type 'afterclap': the words they run, what is refused, and that the manifest's definition says the same.
 */

import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Ajv } from 'ajv';
import { afterAll, beforeAll, describe, expect, it, test } from 'vitest';
import { TASK_COMMANDS, TASK_TYPE, taskWords } from '../../../client/src/tasks/taskWords.ts';
import { buildCli, type Cli, repositoryRoot, samplesFolder } from '../cli/runCli.ts';

const manifest = JSON.parse(readFileSync(join(repositoryRoot, 'package.json'), 'utf8'));
const [definition, ...others] = manifest.contributes.taskDefinitions;
const { properties, required } = definition;
const isDefinition = new Ajv({ strict: false }).compile({ type: 'object', properties, required });

describe('the words of a task', () => {
  it.each<[string, Record<string, unknown>, readonly string[]]>([
    ['a check of the folder', { command: 'check' }, ['check', '--format=lines', '--', '.']],
    [
      'a check of files',
      { command: 'check', files: ['a b.edl', '-x.edl'] },
      ['check', '--format=lines', '--', 'a b.edl', '-x.edl'],
    ],
    ['a fix', { command: 'check', fix: true, files: ['a.edl'] }, ['check', '--format=lines', '--fix', '--', 'a.edl']],
    ['no fix', { command: 'check', fix: false, files: ['a.edl'] }, ['check', '--format=lines', '--', 'a.edl']],
    [
      'further flags',
      { command: 'check', arguments: ['--tolerance=ebu-r37'] },
      ['check', '--format=lines', '--tolerance=ebu-r37', '--', '.'],
    ],
    ['another format', { command: 'check', arguments: ['--format', 'sarif'] }, ['check', '--format', 'sarif', '--', '.']],
    ['another format in one word', { command: 'check', arguments: ['--format=text'] }, ['check', '--format=text', '--', '.']],
    ['a list', { command: 'list', files: ['cut.otio'] }, ['list', '--', 'cut.otio']],
    [
      'what every task may have besides',
      { type: TASK_TYPE, label: 'x', group: 'test', command: 'check' },
      ['check', '--format=lines', '--', '.'],
    ],
  ])('%s', (_, task, words) => {
    expect(taskWords(task)).toEqual({ ok: true, words });
    expect(isDefinition(task)).toBe(true);
  });

  it.each<[string, Record<string, unknown>, RegExp]>([
    ['no command', {}, /^"command" has to be one of check, list/],
    ['an unknown command', { command: 'rm' }, /^"command" has to be one of/],
    ['a command that is no word', { command: ['check'] }, /^"command" has to be/],
    ['files that are no list', { command: 'check', files: 'a.edl' }, /^"files" has to be a list of paths\.$/],
    ['an empty path', { command: 'check', files: [''] }, /^"files"/],
    ['numbers among arguments', { command: 'check', arguments: [1] }, /^"arguments" has to be a list of words\.$/],
    ['a fix that is neither', { command: 'check', fix: 'yes' }, /^"fix" has to be true or false\.$/],
  ])('refuses %s, as the definition of the manifest does', (_, task, reason) => {
    expect(taskWords(task)).toEqual({ ok: false, reason: expect.stringMatching(reason) });
    expect(isDefinition(task)).toBe(false);
  });

  it('refuses to fix with a command that cannot', () => {
    expect(taskWords({ command: 'list', fix: true })).toMatchObject({
      ok: false,
      reason: '"fix" goes with check only, not with list.',
    });
  });
});

describe('the definition in the manifest', () => {
  it('is the only one, of this type, and offered where processes can be started', () => {
    expect(others).toEqual([]);
    expect(definition).toMatchObject({ type: TASK_TYPE, when: 'processExecutionSupported' });
  });

  it('has the same commands, each with what it does', () => {
    expect(properties.command.enum).toEqual(TASK_COMMANDS);
    expect(properties.command.enumDescriptions).toHaveLength(TASK_COMMANDS.length);
  });
});

describe('the command line', () => {
  let cli: Cli;
  let folder: string;
  beforeAll(async () => {
    cli = await buildCli();
    folder = mkdtempSync(join(tmpdir(), 'afterclap-task-'));
  });
  afterAll(() => {
    cli.dispose();
    rmSync(folder, { recursive: true });
  });

  test('takes the words of a check, whatever the file is called', async () => {
    writeFileSync(join(folder, '--fix.edl'), readFileSync(join(samplesFolder, 'millrace.edl')));
    const answer = taskWords({ command: 'check', files: ['--fix.edl'] });
    if (!answer.ok) throw new Error(answer.reason);
    const { stdout, stderr, exitCode } = await cli.run(answer.words, folder);
    expect([stderr, exitCode]).toEqual(['', 0]);
    expect(stdout).toContain(
      '--fix.edl: Findings: 1 for information; none fixable with --fix. Compared: nothing, for want of a report.',
    );
  });

  test('knows every command that a task may name', async () => {
    for (const command of TASK_COMMANDS) {
      const { exitCode, stdout } = await cli.run([command, '--help'], folder);
      expect([exitCode, stdout.split('\n')[0]]).toEqual([0, expect.stringMatching(new RegExp(`^afterclap ${command} `))]);
    }
  });
});
