/**
 * Every rule, in the order of the documentation. Adding a finding code means writing its file and adding it here.
 */

import { acceptedUnused } from './acceptedUnused.ts';
import { dropFrame } from './dropFrame.ts';
import type { FindingCode } from './finding.ts';
import { lengthMismatch } from './lengthMismatch.ts';
import { mediaAmbiguous } from './mediaAmbiguous.ts';
import { noSound } from './noSound.ts';
import { offGrid } from './offGrid.ts';
import { oldSchema } from './oldSchema.ts';
import { outsideMedia } from './outsideMedia.ts';
import { rateMismatch } from './rateMismatch.ts';
import { recordOverlap } from './recordOverlap.ts';
import { reportInvalid } from './reportInvalid.ts';
import type { Rule } from './rule.ts';
import { sampleRateMismatch } from './sampleRateMismatch.ts';
import { scratchLive } from './scratchLive.ts';
import { shortHandles } from './shortHandles.ts';
import { soundDoubled } from './soundDoubled.ts';
import { soundDrifts } from './soundDrifts.ts';
import { soundLags } from './soundLags.ts';
import { soundLeads } from './soundLeads.ts';
import { speedMismatch } from './speedMismatch.ts';
import { unmeasured } from './unmeasured.ts';
import { unreadable } from './unreadable.ts';
import { wrongRecording } from './wrongRecording.ts';

export const allRules: readonly Rule[] = [
  soundLeads,
  soundLags,
  soundDrifts,
  soundDoubled,
  wrongRecording,
  unmeasured,
  noSound,
  scratchLive,
  rateMismatch,
  sampleRateMismatch,
  speedMismatch,
  dropFrame,
  offGrid,
  lengthMismatch,
  recordOverlap,
  outsideMedia,
  shortHandles,
  mediaAmbiguous,
  unreadable,
  oldSchema,
  reportInvalid,
  acceptedUnused,
];

const rulesByCode = new Map<FindingCode, Rule>(allRules.map((rule) => [rule.code, rule]));

/** The rule of a code; every code has one (a test says so). */
export function ruleFor(code: FindingCode): Rule {
  const rule = rulesByCode.get(code);
  if (rule === undefined) throw new RangeError(`no rule for ${code}`);
  return rule;
}
