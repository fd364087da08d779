/**
 * Answers that are worked out once per audit and asked for often, such as an outline that an editor redraws.
 *
 * They go with the audit they are for, so nothing has to be cleaned up, and nothing is decided by them.
 */

import type { AuditedDocument } from './audits.ts';

export function createKept<Answer>(): (audited: AuditedDocument, make: () => Answer) => Answer {
  const known = new WeakMap<AuditedDocument, { readonly answer: Answer }>();
  return (audited, make) => {
    const before = known.get(audited);
    if (before !== undefined) return before.answer;
    const answer = make();
    known.set(audited, { answer });
    return answer;
  };
}
