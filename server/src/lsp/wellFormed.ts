/**
 * Which parameters our handlers count on, by method. What breaks them never reaches a handler: a request is answered with the
 * protocol's error for it, in words that help whoever writes the client.
 *
 * Only members that a handler reads are asked for, and only of the type it needs: a client may leave out the rest, send more, and
 * send numbers that lie outside the text. Methods that are not listed read nothing, or look at what they get themselves.
 */

/** A type by its name, a list of one shape, members by their names, or any of these where the member may be left out or be null. */
type Shape =
  | 'string'
  | 'number'
  | 'boolean'
  | { readonly each: Shape }
  | { readonly optional: Shape }
  | { readonly orNull: Shape }
  | { readonly members: Readonly<Record<string, Shape>> };

const members = (shapes: Readonly<Record<string, Shape>>): Shape => ({ members: shapes });
const each = (shape: Shape): Shape => ({ each: shape });
const optional = (shape: Shape): Shape => ({ optional: shape });
const orNull = (shape: Shape): Shape => ({ orNull: shape });

const BY_URI = members({ uri: 'string' });
const PLACE = members({ line: 'number', character: 'number' });
const RANGE = members({ start: PLACE, end: PLACE });
const IN_DOCUMENT = members({ textDocument: BY_URI });
const AT_PLACE = members({ textDocument: BY_URI, position: PLACE });
const IN_RANGE = members({ textDocument: BY_URI, range: RANGE });
const FOLDERS = each(BY_URI);
const ABOUT_ITEM = members({ item: members({ uri: 'string', name: 'string', kind: 'number', range: RANGE }) });

const SHAPES: Readonly<Record<string, Shape>> = {
  'textDocument/didOpen': members({ textDocument: members({ uri: 'string', text: 'string' }) }),
  'textDocument/didChange': members({
    textDocument: BY_URI,
    contentChanges: each(members({ range: optional(RANGE), text: 'string' })),
  }),
  'textDocument/didClose': IN_DOCUMENT,
  'workspace/didChangeWatchedFiles': members({ changes: each(members({ uri: 'string', type: 'number' })) }),
  'workspace/didChangeWorkspaceFolders': members({ event: members({ added: FOLDERS, removed: FOLDERS }) }),
  'workspace/didChangeConfiguration': members({}),
  'textDocument/diagnostic': IN_DOCUMENT,
  'workspace/diagnostic': members({}),
  'textDocument/hover': AT_PLACE,
  'textDocument/definition': AT_PLACE,
  'textDocument/references': members({
    textDocument: BY_URI,
    position: PLACE,
    context: members({ includeDeclaration: optional('boolean') }),
  }),
  'textDocument/completion': AT_PLACE,
  'textDocument/prepareRename': AT_PLACE,
  'textDocument/rename': members({ textDocument: BY_URI, position: PLACE, newName: 'string' }),
  'textDocument/codeAction': members({
    textDocument: BY_URI,
    range: RANGE,
    context: members({ diagnostics: each(members({ range: RANGE })), only: optional(each('string')) }),
  }),
  'codeAction/resolve': members({}),
  'textDocument/inlayHint': IN_RANGE,
  'inlayHint/resolve': members({ position: PLACE }),
  'textDocument/codeLens': IN_DOCUMENT,
  'textDocument/documentLink': IN_DOCUMENT,
  'textDocument/documentColor': IN_DOCUMENT,
  'textDocument/colorPresentation': members({
    textDocument: BY_URI,
    range: RANGE,
    color: members({ red: 'number', green: 'number', blue: 'number' }),
  }),
  'textDocument/prepareCallHierarchy': AT_PLACE,
  'callHierarchy/incomingCalls': ABOUT_ITEM,
  'callHierarchy/outgoingCalls': ABOUT_ITEM,
  'textDocument/documentSymbol': IN_DOCUMENT,
  'textDocument/foldingRange': IN_DOCUMENT,
  'textDocument/selectionRange': members({ textDocument: BY_URI, positions: each(PLACE) }),
  'textDocument/formatting': IN_DOCUMENT,
  'textDocument/rangeFormatting': IN_RANGE,
  'textDocument/semanticTokens/full': IN_DOCUMENT,
  'textDocument/semanticTokens/range': IN_RANGE,
  'workspace/symbol': members({ query: 'string' }),
  'workspace/textDocumentContent': BY_URI,
  'workspace/executeCommand': members({ command: 'string' }),
  'afterclap/accept': members({ uri: 'string', code: 'string', range: RANGE, reason: 'string' }),
  'afterclap/statusOf': BY_URI,
  'afterclap/workspaceFixes': members({ code: orNull('string') }),
  'afterclap/timelines': members({}),
  'afterclap/checkTimeline': BY_URI,
  'afterclap/lagChart': BY_URI,
  'afterclap/lagChartClosed': BY_URI,
  'afterclap/clapDesk': members({ uri: 'string', position: orNull(PLACE) }),
  'afterclap/clapDeskReports': BY_URI,
  'afterclap/clapDeskMedia': members({
    uri: 'string',
    role: 'string',
    key: 'string',
    names: each('string'),
    file: orNull('string'),
  }),
  'afterclap/clapDeskPeaks': members({
    file: 'string',
    start: 'number',
    end: 'number',
    columns: 'number',
    channel: orNull('number'),
  }),
  'afterclap/clapDeskSound': members({ file: 'string', start: 'number', count: 'number', channel: orNull('number') }),
  'afterclap/clapDeskClaps': members({
    file: 'string',
    range: orNull(members({ start: 'number', end: 'number' })),
    id: 'number',
    columns: 'number',
  }),
  'afterclap/clapDeskWrite': members({
    uri: 'string',
    version: 'number',
    change: members({
      pair: orNull('number'),
      picture: 'string',
      sound: 'string',
      frame: 'string',
      sample: 'string',
      early: orNull('string'),
      late: orNull('string'),
      by: orNull('string'),
      clap: orNull('number'),
    }),
  }),
};

/** What is wrong with the parameters of a method, as a sentence; null when nothing is. */
export function illFormedReason(method: string, params: unknown): string | null {
  const shape = Object.hasOwn(SHAPES, method) ? SHAPES[method] : undefined;
  return shape === undefined ? null : faultOf(params, shape, 'params');
}

function faultOf(value: unknown, shape: Shape, path: string): string | null {
  if (typeof shape === 'string') return typeof value === shape ? null : fault(path, `a ${shape}`, value);
  if ('optional' in shape) return value === undefined ? null : faultOf(value, shape.optional, path);
  if ('orNull' in shape) return value === null ? null : faultOf(value, shape.orNull, path);
  if ('each' in shape) {
    if (!Array.isArray(value)) return fault(path, 'a list', value);
    return firstOf(value.entries(), ([at, item]) => faultOf(item, shape.each, `${path}[${at}]`));
  }
  if (typeof value !== 'object' || value === null || Array.isArray(value)) return fault(path, 'an object', value);
  return firstOf(Object.entries(shape.members), ([name, inner]) =>
    faultOf((value as Readonly<Record<string, unknown>>)[name], inner, `${path}.${name}`),
  );
}

function firstOf<Item>(items: Iterable<Item>, check: (item: Item) => string | null): string | null {
  for (const item of items) {
    const found = check(item);
    if (found !== null) return found;
  }
  return null;
}

function fault(path: string, wanted: string, value: unknown): string {
  return value === undefined ? `'${path}' is missing; it has to be ${wanted}.` : `'${path}' has to be ${wanted}, and is not.`;
}
