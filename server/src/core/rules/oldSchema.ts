/**
 * old-schema: a schema version that newer readers upgrade. Read as its newer form; said, since a rewrite will change it.
 */

import type { AuditContext } from './context.ts';
import { draft, type FindingDraft, type Rule } from './rule.ts';

export const oldSchema: Rule = {
  code: 'old-schema',
  defaultSeverity: 'information',
  isDeprecated: true,
  documentation: {
    title: 'An older schema version',
    what: 'An object is written in an older version of its schema, such as Clip.1 or Marker.1. It is read as the newer form.',
    why: 'The times mean the same. A program that rewrites the file will write the newer version, which shows as a change in git where nothing was cut.',
    whatToDo: 'Nothing. It is said once for each schema, so that a large diff later does not surprise.',
    sources: ['OTIO library, CORE_VERSION_MAP and its upgrade functions (0.15 for Clip.2)'],
  },
  check: oldSchemaFindings,
};

function* oldSchemaFindings(context: AuditContext): Generator<FindingDraft> {
  const counts = new Map<string, number>();
  for (const observation of context.timeline.observations) {
    if (observation.kind !== 'old-schema') continue;
    const name = `${observation.schema}.${observation.version}`;
    counts.set(name, (counts.get(name) ?? 0) + 1);
  }
  for (const observation of context.timeline.observations) {
    if (observation.kind !== 'old-schema') continue;
    const name = `${observation.schema}.${observation.version}`;
    const count = counts.get(name);
    if (count === undefined) continue;
    counts.delete(name);
    const also = count === 1 ? '' : ` It stands ${count} times in this file; this is the first.`;
    yield draft({
      message: `${name} is an older form; newer readers turn it into ${observation.schema}.${observation.newest}, and so is it read here.${also} Nothing needs doing.`,
      place: { file: null, span: observation.span },
    });
  }
}
