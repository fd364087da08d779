/**
 * Nesting, one step at a time, by the protocol's call hierarchy: 'incoming' is what holds an item, 'outgoing' is what it holds.
 *
 * An item carries all that is needed to find it again (address, kind, name, range), so none needs the server that made it, and a
 * client that drops `data` loses nothing.
 */

import type {
  CallHierarchyIncomingCall,
  CallHierarchyItem,
  CallHierarchyOutgoingCall,
  Position,
  Range,
} from 'vscode-languageserver';
import type { Audit } from '../core/audit.ts';
import { heldBy, holdersOf, type NestingItem, type NestingLink, type NestingPlace, nestingAt } from '../core/views/nesting.ts';
import { auditedDocument } from './auditedDocument.ts';
import { offsetOf, rangesOf } from './positions.ts';
import type { Session } from './session.ts';
import { SYMBOL_KINDS } from './symbols.ts';
import type { OpenDocument } from './textStore.ts';

/** More rows than anybody reads in a tree. */
const LARGEST_LINK_COUNT = 5000;

/** What is read of an item that comes back. */
type ItemSent = Pick<CallHierarchyItem, 'uri' | 'name' | 'kind' | 'range'>;

export async function prepareNesting(session: Session, uri: string, position: Position): Promise<CallHierarchyItem[] | null> {
  const audited = await auditedDocument(session, uri);
  if (audited === null || audited.result === null) return null;
  const { document, result } = audited;
  const item = nestingAt(result, offsetOf(document.index, position, session.abilities.columnUnit));
  return item === null ? null : onWire(session, document, [{ item, at: item.nameSpan }]).map((link) => link.item);
}

export async function incomingNesting(session: Session, item: ItemSent): Promise<CallHierarchyIncomingCall[]> {
  return (await linksOf(session, item, holdersOf)).map(({ item: from, at }) => ({ from, fromRanges: [at] }));
}

export async function outgoingNesting(session: Session, item: ItemSent): Promise<CallHierarchyOutgoingCall[]> {
  return (await linksOf(session, item, heldBy)).map(({ item: to, at }) => ({ to, fromRanges: [at] }));
}

/** Each has a number of its own in the protocol. */
const KINDS: readonly NestingItem['kind'][] = ['timeline', 'stack', 'track', 'clip', 'event', 'media'];

interface WireLink {
  readonly item: CallHierarchyItem;
  readonly at: Range;
}

async function linksOf(
  session: Session,
  { uri, name, kind: number, range }: ItemSent,
  find: (result: Audit, place: NestingPlace) => readonly NestingLink[],
): Promise<readonly WireLink[]> {
  const audited = await auditedDocument(session, uri);
  const kind = KINDS.find((each) => SYMBOL_KINDS[each] === number);
  if (audited === null || audited.result === null || kind === undefined) return [];
  const { document, result } = audited;
  const start = offsetOf(document.index, range.start, session.abilities.columnUnit);
  const links = find(result, { kind, name, start });
  if (links.length > LARGEST_LINK_COUNT) {
    session.warn(`${uri}: '${name}' leads to ${links.length} places; only the first ${LARGEST_LINK_COUNT} are shown.`);
  }
  return onWire(session, document, links.slice(0, LARGEST_LINK_COUNT));
}

function onWire(session: Session, { uri, index }: OpenDocument, links: readonly NestingLink[]): readonly WireLink[] {
  const spans = links.flatMap(({ item, at }) => [item.span, item.nameSpan, at]);
  const ranges = rangesOf(index, spans, session.abilities.columnUnit);
  return links.map(({ item: { name, kind, detail } }, link) => {
    const [range, selectionRange, at] = ranges.slice(3 * link, 3 * link + 3) as [Range, Range, Range];
    return { item: { name, kind: SYMBOL_KINDS[kind], detail, uri, range, selectionRange }, at };
  });
}
