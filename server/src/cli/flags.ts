/**
 * Flags of a command: what is known, and what a person meant when it is not.
 *
 * node:util's parseArgs splits the words; the checks are ours, because its messages name neither the nearest flag nor the
 * values that are possible.
 */

import { parseArgs } from 'node:util';
import { nearestName } from '../core/text/nearestName.ts';
import { UserError } from './userError.ts';

export interface FlagDefinition {
  readonly name: string;
  /** What stands after it, as help shows it; null for a switch. */
  readonly value: string | null;
  readonly isRepeatable?: boolean;
  /** For help; lines are broken by help. */
  readonly text: string;
}

export interface ParsedFlags {
  readonly paths: readonly string[];
  readonly switches: ReadonlySet<string>;
  readonly values: ReadonlyMap<string, readonly string[]>;
}

/** Splits the words after a command. Throws a UserError for unknown, doubled and half-written flags. */
export function parseFlags(words: readonly string[], known: readonly FlagDefinition[], command: string): ParsedFlags {
  const { tokens } = parseArgs({
    args: [...words],
    options: Object.fromEntries(known.map(({ name, value }) => [name, { type: value === null ? 'boolean' : 'string' }] as const)),
    strict: false,
    allowPositionals: true,
    tokens: true,
  });
  const paths: string[] = [];
  const switches = new Set<string>();
  const values = new Map<string, string[]>();
  for (const token of tokens) {
    if (token.kind === 'positional') paths.push(token.value);
    if (token.kind !== 'option') continue;
    const flag = known.find(({ name }) => name === token.name);
    if (flag === undefined || !token.rawName.startsWith('--')) throw new UserError(unknownFlag(token.rawName, known, command));
    if (flag.value === null) {
      if (token.value !== undefined) throw new UserError(`--${flag.name} is a switch and takes no value (got '${token.value}')`);
      switches.add(flag.name);
      continue;
    }
    // parseArgs takes whatever comes next, a flag too.
    const isMissing = token.value === undefined || token.value === '' || (!token.inlineValue && token.value.startsWith('--'));
    if (isMissing || token.value === undefined) throw new UserError(`--${flag.name} needs a value: --${flag.name} ${flag.value}`);
    const earlier = values.get(flag.name);
    if (earlier !== undefined && flag.isRepeatable !== true) throw new UserError(`--${flag.name} is given twice; give it once`);
    values.set(flag.name, [...(earlier ?? []), token.value]);
  }
  return { paths, switches, values };
}

/** One of `choices`, or a UserError that names them all and the nearest. */
export function oneOf<Choice extends string>(written: string, choices: readonly Choice[], what: string): Choice {
  const choice = choices.find((candidate) => candidate === written);
  if (choice !== undefined) return choice;
  throw new UserError(`'${written}' is no ${what}${meant(written, choices)}; expected ${listWithOr(choices)}`);
}

/** `, did you mean 'x'?` or nothing. */
export function meant(written: string, candidates: readonly string[]): string {
  const nearest = nearestName(written, candidates);
  return nearest === null ? '' : `, did you mean '${nearest}'?`;
}

function unknownFlag(written: string, known: readonly FlagDefinition[], command: string): string {
  const names = known.map(({ name }) => `--${name}`);
  const nearest = nearestName(
    written.replace(/^-*/, ''),
    known.map(({ name }) => name),
  );
  const hint = nearest === null ? `; known: ${names.join(' ')}` : `, did you mean '--${nearest}'?`;
  return `'${command}' has no flag '${written}'${hint}`;
}

function listWithOr(words: readonly string[]): string {
  return words.length < 2 ? words.join('') : `${words.slice(0, -1).join(', ')} or ${words.at(-1)}`;
}
