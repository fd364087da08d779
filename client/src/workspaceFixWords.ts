/**
 * What a person reads before and after safe fixes are made in the whole workspace.
 */

/** A timeline that has something to fix, and how many of it. */
export interface FixedTimeline {
  readonly name: string;
  readonly fixCount: number;
}

export interface WorkspaceFixPlan {
  /** Null: all codes. */
  readonly code: string | null;
  readonly timelines: readonly FixedTimeline[];
  /** Left as they are, since they can't be written. */
  readonly readOnly: readonly FixedTimeline[];
  /** Names of those that could not be read. */
  readonly unread: readonly string[];
  /** Names of those that are left as they are, since the editor could lose characters of theirs. */
  readonly notUtf8: readonly string[];
}

/** In a list of names; the rest is counted. */
const MOST_NAMES = 5;

/** '41 safe fixes in 7 timelines', for a question and for what was done. */
export function fixCounts({ code, timelines }: WorkspaceFixPlan): string {
  const ofCode = code === null ? '' : ` for ${code}`;
  return `${counted(total(timelines), 'safe fix', 'safe fixes')}${ofCode} in ${counted(timelines.length, 'timeline')}`;
}

/** Under the question. `isSaving`: the editor saves by itself. */
export function fixCautions(plan: WorkspaceFixPlan, isSaving: boolean): string {
  const saving = isSaving
    ? 'The editor is set to save by itself, so the files are changed at once.'
    : 'The texts are changed in the editor and left unsaved, so that you can look at them first.';
  return ['Keep the originals, and check by eye and ear.', saving, ...leftOut(plan)].join(' ');
}

/** Where there is nothing to ask about. */
export function nothingToFix(plan: WorkspaceFixPlan): string {
  const other = plan.readOnly.length === 0 ? '' : ' that can be written';
  const finding = plan.code === null ? 'nothing' : `no ${plan.code}`;
  return [
    `There is ${finding} in the timelines of the workspace${other} that a safe fix could put right.`,
    ...leftOut(plan),
  ].join(' ');
}

function leftOut({ readOnly, unread, notUtf8 }: WorkspaceFixPlan): readonly string[] {
  const sentences: string[] = [];
  if (readOnly.length > 0) {
    const [are, stay] = readOnly.length === 1 ? ['is', 'stays as it is'] : ['are', 'stay as they are'];
    const names = list(readOnly.map(({ name }) => name));
    const fixes = counted(total(readOnly), 'safe fix', 'safe fixes');
    sentences.push(`${counted(readOnly.length, 'timeline')} ${are} read-only and ${stay} (${fixes}): ${names}.`);
  }
  if (notUtf8.length > 0) {
    const [are, stay, them] = notUtf8.length === 1 ? ['is', 'stays as it is', 'it'] : ['are', 'stay as they are', 'them'];
    sentences.push(
      `${counted(notUtf8.length, 'timeline')} ${are} not in UTF-8 and ${stay}, since the editor could lose letters with accents: ${list(notUtf8)}. Open ${them} with the right encoding first.`,
    );
  }
  if (unread.length > 0) sentences.push(`${counted(unread.length, 'timeline')} could not be read: ${list(unread)}.`);
  return sentences;
}

function list(names: readonly string[]): string {
  const rest = names.length - MOST_NAMES;
  return names.slice(0, MOST_NAMES).join(', ') + (rest > 0 ? ` and ${rest} more` : '');
}

function total(timelines: readonly FixedTimeline[]): number {
  return timelines.reduce((sum, { fixCount }) => sum + fixCount, 0);
}

function counted(amount: number, one: string, many = `${one}s`): string {
  return `${amount} ${amount === 1 ? one : many}`;
}
