/**
 * Reads an SMPTE ST 429-9 asset map: which file an identifier of a composition playlist stands for.
 *
 * Source: the XML schema of ST 429-9 (2007). `AssetMap` { ..., `AssetList` { `Asset` { `Id`, `PackingList`?, `ChunkList` { `Chunk` {
 * `Path`, `VolumeIndex`?, `Offset`?, `Length`? } } } } }. An asset in several chunks is named by its first.
 */

import { createProblemLog, type SyntaxProblem } from '../../syntax/xml/problemLog.ts';
import { readElements } from '../../syntax/xml/readElements.ts';
import { compileVocabulary, type ElementRule } from '../../syntax/xml/vocabulary.ts';
import { XML_LIMITS } from '../../syntax/xml/xmlLimits.ts';
import { decodeXmlText } from '../../syntax/xml/xmlText.ts';
import type { Span } from '../../text/span.ts';

export interface AssetMap {
  /** Paths as written, by `urn:uuid:` in small letters. */
  readonly names: ReadonlyMap<string, string>;
  /** What is wrong with the text, in text order. */
  readonly problems: readonly { readonly span: Span; readonly message: string }[];
}

const E = { AssetMap: 0, AssetList: 1, Asset: 2, Id: 3, ChunkList: 4, Chunk: 5, Path: 6 } as const;

const text: Omit<ElementRule, 'name'> = { holds: 'text', required: [], optional: [], repeated: [], attributes: [] };
const elements = (children: Partial<Pick<ElementRule, 'required' | 'optional' | 'repeated'>>): Omit<ElementRule, 'name'> => ({
  ...text,
  holds: 'elements',
  ...children,
});

const VOCABULARY = compileVocabulary({
  namespace: 'http://www.smpte-ra.org/schemas/429-9/2007/AM',
  rules: [
    { name: 'AssetMap', ...elements({ required: [E.AssetList], optional: [E.Id] }) },
    { name: 'AssetList', ...elements({ repeated: [E.Asset] }) },
    { name: 'Asset', ...elements({ required: [E.Id, E.ChunkList] }) },
    { name: 'Id', ...text },
    { name: 'ChunkList', ...elements({ repeated: [E.Chunk] }) },
    { name: 'Chunk', ...elements({ required: [E.Path] }) },
    { name: 'Path', ...text },
  ],
  root: E.AssetMap,
  passedOver: new Set([
    'AnnotationText',
    'Creator',
    'VolumeCount',
    'IssueDate',
    'Issuer',
    'PackingList',
    'VolumeIndex',
    'Offset',
    'Length',
  ]),
});

/** Never throws, on any string. */
export function readAssetMap(text: string): AssetMap {
  const log = createProblemLog<SyntaxProblem>(text.length, XML_LIMITS.problems);
  const names = new Map<string, string>();
  let id: string | null = null;
  let path: string | null = null;
  readElements(
    text,
    VOCABULARY,
    {
      open: (code) => {
        if (code !== E.Asset) return;
        id = null;
        path = null;
      },
      close: (code, parent, start, contentStart, contentEnd) => {
        const value = (): string => decodeXmlText(text.slice(contentStart, contentEnd)).trim();
        if (code === E.Id && parent === E.Asset) id = value().toLowerCase();
        else if (code === E.Path) path ??= value();
        else if (code === E.Asset && id !== null && path !== null && path !== '') {
          if (!names.has(id)) names.set(id, path);
          else if (names.get(id) !== path) {
            log.unreadable(start, contentStart, `A second Asset has the Id ${id}; the first one, ${names.get(id)}, is used.`);
          }
        }
      },
      leftOut: () => {},
    },
    XML_LIMITS,
    log,
  );
  const problems = log.entries.map(({ span, message }) => ({ span, message }));
  return { names, problems: problems.toSorted((left, right) => left.span.start - right.span.start) };
}
