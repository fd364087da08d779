/**
 * The page of a finding code: what `explain` prints and what the editor links to. Made from the rule file alone, so that
 * text and check cannot part.
 */

import type { Rule } from '../rules/rule.ts';

/** Markdown, one page. */
export function rulePage(rule: Rule): string {
  const { title, what, why, whatToDo, sources } = rule.documentation;
  return `# ${rule.code}

**${title}.** Severity: ${severityInWords(rule)}.

## What is wrong

${what}

## Why it matters

${why}

## What to do

${whatToDo}

## Sources

${sources.map((source) => `- ${source}`).join('\n')}

To change the severity of this code, or to turn it off, set \`"rules": { "${rule.code}": "warning" }\` in afterclap.json
(\`error\`, \`warning\`, \`information\` or \`off\`). To let one finding stand, accept it with a reason.
`;
}

function severityInWords(rule: Rule): string {
  return rule.defaultSeverity === 'off' ? 'off until a project turns it on' : rule.defaultSeverity;
}
