/**
 * `afterclap compare OLD NEW`: what moved against what between two versions of a cut.
 *
 * Both versions are held against one report and the same settings, those of the new one, so that what differs is the cut.
 */

import { realpath } from 'node:fs/promises';
import { dirname, relative } from 'node:path';
import { SEVERITIES, type ShownSeverity } from '../core/report/checkedFile.ts';
import { renderCompareJson } from '../core/report/renderCompareJson.ts';
import { renderCompareMarkdown } from '../core/report/renderCompareMarkdown.ts';
import { type ReviewNames, renderCompareText } from '../core/report/renderCompareText.ts';
import { visibleText } from '../core/report/visibleText.ts';
import { type CutReview, reviewCut } from '../core/review/reviewCut.ts';
import { createNodeFileSystem } from '../node/fileSystem.ts';
import { createGit, type GitAnswer } from '../node/git.ts';
import type { Project } from '../project/findProject.ts';
import { CHECK_FLAGS, toleranceOf } from './checkOptions.ts';
import type { Command, ExitCode } from './command.ts';
import { type FlagDefinition, oneOf, type ParsedFlags } from './flags.ts';
import {
  auditTimeline,
  openProject,
  type ProjectChoice,
  projectProblems,
  type TimelineText,
  timelineText,
} from './openTimeline.ts';
import { painterFor, type Terminal, widthOf } from './terminal.ts';
import { readBytes, systemReason } from './textFile.ts';
import { UserError } from './userError.ts';

const COMPARE_FORMATS = ['text', 'markdown', 'json'] as const;

type CompareFormat = (typeof COMPARE_FORMATS)[number];

interface CompareOptions extends ProjectChoice {
  /** A file, or the same file in a revision of git. */
  readonly old: { readonly kind: 'file'; readonly path: string } | { readonly kind: 'revision'; readonly revision: string };
  readonly now: string;
  readonly format: CompareFormat;
  readonly failOn: ShownSeverity;
}

const SHARED_FLAGS = ['alignment', 'tolerance'];

const COMPARE_FLAGS: readonly FlagDefinition[] = [
  {
    name: 'git',
    value: 'REV',
    text: 'Compare FILE as it stood in this revision (HEAD, a branch, a tag, a commit) with FILE as it stands now.',
  },
  ...CHECK_FLAGS.filter(({ name }) => SHARED_FLAGS.includes(name)),
  {
    name: 'format',
    value: 'F',
    text: 'How to print: text, markdown (for a comment on a pull request) or json. The default is text.',
  },
  {
    name: 'fail-on',
    value: 'SEVERITY',
    text: `The least severity of a finding that appeared, or got worse, that makes the exit code 1: ${SEVERITIES.join(', ')}. The default is error.`,
  },
];

export const compareCommand: Command = {
  name: 'compare',
  usage: 'OLD NEW [flags]',
  summary: 'say what moved against what between two versions of a cut',
  flags: COMPARE_FLAGS,
  details: [
    'OLD and NEW are timelines in any two formats; with --git REV there is one FILE. Clips are matched by recording and by what they show of it. Sound and picture that moved together have not changed; a sound that slipped against its picture is told with its lag before and after.',
    'Report and settings are those of NEW; where it has no report, those of OLD. Which one was used, and why, is always printed.',
    'Exit code: 0 when no finding at or above --fail-on appeared or got worse, 1 when one did, 2 when a file could not be read or the settings are wrong.',
  ],
  run: async (flags, terminal) => runCompare(compareOptions(flags), terminal),
};

function compareOptions({ paths, values }: ParsedFlags): CompareOptions {
  const single = (name: string): string | null => values.get(name)?.[0] ?? null;
  const revision = single('git');
  const tolerance = single('tolerance');
  return {
    ...twoVersions(paths, revision),
    alignments: values.get('alignment') ?? null,
    tolerance: tolerance === null ? null : toleranceOf(tolerance),
    format: oneOf(single('format') ?? 'text', COMPARE_FORMATS, 'output format'),
    failOn: oneOf(single('fail-on') ?? 'error', SEVERITIES, 'severity for --fail-on'),
  };
}

function twoVersions(paths: readonly string[], revision: string | null): Pick<CompareOptions, 'old' | 'now'> {
  const [first, second, ...others] = paths;
  if (revision !== null) {
    if (first === undefined || second !== undefined) {
      throw new UserError('compare --git REV takes one file: afterclap compare --git HEAD cut.otio');
    }
    return { old: { kind: 'revision', revision }, now: first };
  }
  if (first === undefined || second === undefined || others.length > 0) {
    throw new UserError(
      'compare needs two files, the old version first: afterclap compare old.otio new.otio; or --git REV and one file',
    );
  }
  return { old: { kind: 'file', path: first }, now: second };
}

async function runCompare(options: CompareOptions, terminal: Terminal): Promise<ExitCode> {
  const now = timelineText(options.now, await readBytes(options.now));
  const old = await oldVersion(options);
  const project = await projectOf(options);
  const problems = projectProblems(project);
  for (const problem of problems) terminal.error.write(`afterclap: ${visibleText(problem)}\n`);
  for (const { name, remark } of [old, now]) {
    if (remark !== null) terminal.error.write(`afterclap: note: ${visibleText(`${name} ${remark}`)}\n`);
  }
  const review = reviewCut(auditTimeline(old, project, options.tolerance), auditTimeline(now, project, options.tolerance));
  terminal.output.write(render(review, { old: old.name, now: now.name, reportReason: project.reason }, options.format, terminal));
  return problems.length > 0 ? 2 : exitCodeOf(review, options.failOn);
}

async function oldVersion({ old, now }: CompareOptions): Promise<TimelineText> {
  if (old.kind === 'file') return timelineText(old.path, await readBytes(old.path));
  const file = await realPathOf(now);
  const git = createGit(dirname(file));
  const top = required(await git.topFolder());
  const inside = relative(await realPathOf(top), file).replaceAll('\\', '/');
  return timelineText(`${old.revision}:${inside}`, required(await git.readFile(old.revision, inside)));
}

async function realPathOf(path: string): Promise<string> {
  try {
    return await realpath(path);
  } catch (error) {
    throw new UserError(`can't read ${path}: ${systemReason(error)}`);
  }
}

function required<Value>(answer: GitAnswer<Value>): Value {
  if (answer.ok) return answer.value;
  throw new UserError(`--git: ${answer.reason}`);
}

/** The new version's; where that has no report and the old one has, the old one's. */
async function projectOf(options: CompareOptions): Promise<Project> {
  const files = createNodeFileSystem();
  const project = await openProject(files, options.now, options);
  if (project.reports.length > 0 || options.old.kind === 'revision') return project;
  const other = await openProject(files, options.old.path, options);
  return other.reports.length > 0
    ? { ...other, reason: `${other.reason} (Found for the old version; the new one has none.)` }
    : project;
}

function render(review: CutReview, names: ReviewNames, format: CompareFormat, { output, environment }: Terminal): string {
  switch (format) {
    case 'text':
      return renderCompareText(review, { ...names, width: widthOf(output), painter: painterFor(output, environment) });
    case 'markdown':
      return renderCompareMarkdown(review, names);
    case 'json':
      return renderCompareJson(review, names);
  }
}

function exitCodeOf({ findings }: CutReview, failOn: ShownSeverity): ExitCode {
  const failing = SEVERITIES.slice(0, SEVERITIES.indexOf(failOn) + 1);
  return findings.appeared.some(({ finding }) => failing.includes(finding.severity)) ? 1 : 0;
}
