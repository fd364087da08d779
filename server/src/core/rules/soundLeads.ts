/**
 * sound-leads: sound is heard before its picture, at both ends of the overlap. The worst error of all, since nothing in
 * nature does it; so the tolerance is near zero.
 */

import { offsetFindings, offsetFixes, offsetGroupFixes } from './offsetFinding.ts';
import type { Rule } from './rule.ts';

export const soundLeads: Rule = {
  code: 'sound-leads',
  defaultSeverity: 'error',
  documentation: {
    title: 'Sound leads its picture',
    what: 'A sound clip is heard earlier than the picture it was recorded with, by more than the lead the tolerance allows. The report says where the sound belongs; the clip shows another part of its recording.',
    why: 'Sound never reaches a viewer before the picture in nature, so a lead is noticed sooner than a lag: on average from 45 ms, against 125 ms for a lag.',
    whatToDo:
      'Slip the sound clip so that it starts earlier in its recording. The quick fix rounds so that sound may lag by less than one step but never leads. Keep the original, and check by eye and ear. If every clip of the recording leads alike, look at the pair in the report first.',
    sources: ['ITU-R BT.1359-1 (1998), considering g): detectability 45 ms early, 125 ms late', 'never leading: common practice'],
  },
  check: (context) => offsetFindings(context, 'leads'),
  fixes: offsetFixes,
  groupFixes: offsetGroupFixes,
};
