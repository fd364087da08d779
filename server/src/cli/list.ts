/**
 * `afterclap list FILE`: one line for each clip, for people, for scripts and for `git diff`.
 *
 * As a text converter of git it must never fail: a diff that breaks off would hide all other files. What can't be read becomes a
 * line of the list, with exit code 0.
 */

import { basename } from 'node:path';
import { noteLine, renderList } from '../core/report/renderList.ts';
import { createNodeFileSystem } from '../node/fileSystem.ts';
import type { Command, ExitCode } from './command.ts';
import type { FlagDefinition, ParsedFlags } from './flags.ts';
import { auditTimeline, openProject, projectProblems, timelineText } from './openTimeline.ts';
import type { Terminal } from './terminal.ts';
import { readBytes } from './textFile.ts';
import { UserError } from './userError.ts';

const LIST_FLAGS: readonly FlagDefinition[] = [
  {
    name: 'alignment',
    value: 'FILE',
    isRepeatable: true,
    text: 'The alignment report to use, whatever afterclap.json says. Give it again for several.',
  },
  {
    name: 'textconv',
    value: null,
    text: 'As git calls it: settings and report are those of the folder the program runs in, since git hands over temporary files, and nothing makes it fail.',
  },
];

interface ListOptions {
  readonly path: string;
  readonly alignments: readonly string[] | null;
  readonly isTextconv: boolean;
}

export const listCommand: Command = {
  name: 'list',
  usage: 'FILE [flags]',
  summary: 'print a timeline as one line for each clip, for diffs',
  flags: LIST_FLAGS,
  details: [
    'Columns, parted by tabs: record in and out, track, media, source in and out, rate, speed, pair of the report, lag, verdict. The lines do not depend on how the file is laid out, so a line diff of two versions shows what was done to the cut.',
    "To have 'git diff' compare timelines this way, see: afterclap git-setup.",
    'Exit code: 0, also for a file that can be read in part or not at all; then a line that begins with # says so. 2 when there is no such file.',
  ],
  run: async (flags, terminal) => runList(listOptions(flags), terminal),
};

function listOptions({ paths, switches, values }: ParsedFlags): ListOptions {
  const [path, ...others] = paths;
  if (path === undefined) throw new UserError('list needs a file: afterclap list cut.otio');
  if (others.length > 0) throw new UserError(`list takes one file, got ${paths.length}`);
  return { path, alignments: values.get('alignment') ?? null, isTextconv: switches.has('textconv') };
}

async function runList(options: ListOptions, terminal: Terminal): Promise<ExitCode> {
  const { path, isTextconv } = options;
  try {
    const bytes = await readBytes(path);
    terminal.output.write(await listing(options, bytes, terminal.output.isTerminal));
  } catch (error) {
    if (!isTextconv) throw error;
    const reason = error instanceof Error ? error.message : String(error);
    terminal.output.write(`${noteLine(`note: ${reason}`)}\n`);
  }
  return 0;
}

async function listing({ path, alignments, isTextconv }: ListOptions, bytes: Buffer, isAligned: boolean): Promise<string> {
  const name = basename(path);
  try {
    const timeline = timelineText(name, bytes);
    const files = createNodeFileSystem();
    // The two sides of a diff have to be held against the same report, wherever git put them.
    const project = await openProject(files, isTextconv ? name : path, { alignments, tolerance: null });
    const notes = [
      ...(timeline.remark === null ? [] : [`${name} ${timeline.remark}`]),
      ...(isTextconv && project.reports.length === 0 ? [] : [project.reason]),
      ...projectProblems(project),
    ];
    return renderList(auditTimeline(timeline, project, null), notes, isAligned);
  } catch (error) {
    if (!(error instanceof UserError) || (alignments !== null && error.message.startsWith('--alignment'))) throw error;
    return `${noteLine(`note: ${error.message}`)}\n`;
  }
}
