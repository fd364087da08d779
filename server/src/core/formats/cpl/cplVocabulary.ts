/**
 * The elements of a composition playlist that say something about sync, as the schemas of SMPTE ST 2067-3 and ST 2067-2 have them.
 *
 * What describes the composition or protects it (issuer, locales, essence descriptors, hashes) is passed over. Sequences other
 * than the main picture and the main sound share one code: they are placed, and not compared.
 */

import { compileVocabulary, type ElementRule } from '../../syntax/xml/vocabulary.ts';
import { belongsToComposition, COMPOSITION_NAMESPACE, OTHER_SEQUENCES } from './cplNamespaces.ts';

/** Codes of the elements: their indices in the vocabulary. */
export const CplElement = {
  CompositionPlaylist: 0,
  Id: 1,
  Annotation: 2,
  ContentTitle: 3,
  EditRate: 4,
  CompositionTimecode: 5,
  TimecodeDropFrame: 6,
  TimecodeRate: 7,
  TimecodeStartAddress: 8,
  SegmentList: 9,
  Segment: 10,
  SequenceList: 11,
  MarkerSequence: 12,
  MainImageSequence: 13,
  MainAudioSequence: 14,
  OtherSequence: 15,
  TrackId: 16,
  ResourceList: 17,
  Resource: 18,
  IntrinsicDuration: 19,
  EntryPoint: 20,
  SourceDuration: 21,
  RepeatCount: 22,
  TrackFileId: 23,
  LeftEye: 24,
  Signature: 25,
} as const;

const E = CplElement;
const LANGUAGE = { name: 'language', isRequired: false };

const text = (attributes: ElementRule['attributes'] = []): Omit<ElementRule, 'name'> => ({
  holds: 'text',
  required: [],
  optional: [],
  repeated: [],
  attributes,
});

const elements = (children: Partial<Pick<ElementRule, 'required' | 'optional' | 'repeated'>>): Omit<ElementRule, 'name'> => ({
  holds: 'elements',
  required: [],
  optional: [],
  repeated: [],
  attributes: [],
  ...children,
});

const sequence = elements({ required: [E.Id, E.TrackId, E.ResourceList], optional: [E.Annotation] });
const opaque: Omit<ElementRule, 'name'> = { ...elements({}), isOpaque: true };

const CONTENT: Readonly<Record<keyof typeof CplElement, Omit<ElementRule, 'name'>>> = {
  CompositionPlaylist: elements({
    required: [E.Id, E.ContentTitle, E.EditRate, E.SegmentList],
    optional: [E.Annotation, E.CompositionTimecode, E.Signature],
  }),
  Id: text(),
  Annotation: text([LANGUAGE]),
  ContentTitle: text([LANGUAGE]),
  EditRate: text(),
  CompositionTimecode: elements({ required: [E.TimecodeDropFrame, E.TimecodeRate, E.TimecodeStartAddress] }),
  TimecodeDropFrame: text(),
  TimecodeRate: text(),
  TimecodeStartAddress: text(),
  SegmentList: elements({ repeated: [E.Segment] }),
  Segment: elements({ required: [E.Id, E.SequenceList], optional: [E.Annotation] }),
  SequenceList: elements({
    optional: [E.MarkerSequence],
    repeated: [E.MainImageSequence, E.MainAudioSequence, E.OtherSequence],
  }),
  MarkerSequence: opaque,
  MainImageSequence: sequence,
  MainAudioSequence: sequence,
  OtherSequence: { ...sequence, otherNames: OTHER_SEQUENCES },
  TrackId: text(),
  ResourceList: elements({ repeated: [E.Resource] }),
  Resource: elements({
    required: [E.Id, E.IntrinsicDuration],
    optional: [E.Annotation, E.EditRate, E.EntryPoint, E.SourceDuration, E.RepeatCount, E.TrackFileId, E.LeftEye],
  }),
  IntrinsicDuration: text(),
  EntryPoint: text(),
  SourceDuration: text(),
  RepeatCount: text(),
  TrackFileId: text(),
  LeftEye: opaque,
  Signature: opaque,
};

const PASSED_OVER: ReadonlySet<string> = new Set([
  'IssueDate',
  'Issuer',
  'Creator',
  'ContentOriginator',
  'ContentKind',
  'ContentVersionList',
  'EssenceDescriptorList',
  'TotalRunningTime',
  'LocaleList',
  'ExtensionProperties',
  'Signer',
  'SourceEncoding',
  'KeyId',
  'Hash',
  'HashAlgorithm',
  'RightEye',
  'ParentTrackID',
]);

export const CPL_VOCABULARY = compileVocabulary({
  namespace: COMPOSITION_NAMESPACE,
  rules: (Object.keys(CplElement) as (keyof typeof CplElement)[]).map((name) => ({ name, ...CONTENT[name] })),
  root: CplElement.CompositionPlaylist,
  belongs: belongsToComposition,
  passedOver: PASSED_OVER,
});
