/**
 * The elements of the neutral timeline XML, as `syntaxes/timeline.xsd` defines them.
 *
 * The words are those of the OTIO data model (Timeline, Stack, Track, Clip, Gap, Transition, ExternalReference, time_scalar)
 * and of SMPTE ST 2067-3 (EditRate, EntryPoint, SourceDuration, TrackFileId, CompositionTimecode). The schema is the
 * public definition; a test validates the same documents with both.
 */

import { compileVocabulary, type ElementRule } from '../../syntax/xml/vocabulary.ts';

const TIMELINE_NAMESPACE = 'urn:afterclap:timeline:1';

/** Codes of the elements: their indices in the vocabulary. */
export const Element = {
  Timeline: 0,
  ContentTitle: 1,
  EditRate: 2,
  CompositionTimecode: 3,
  TimecodeDropFrame: 4,
  TimecodeRate: 5,
  TimecodeStartAddress: 6,
  MediaReferences: 7,
  ExternalReference: 8,
  Id: 9,
  TargetUrl: 10,
  AvailableRange: 11,
  StartTime: 12,
  Duration: 13,
  Stack: 14,
  Track: 15,
  Clip: 16,
  Name: 17,
  TrackFileId: 18,
  EntryPoint: 19,
  SourceDuration: 20,
  TimeScalar: 21,
  Metadata: 22,
  Accept: 23,
  Reel: 24,
  Gap: 25,
  Transition: 26,
  InOffset: 27,
  OutOffset: 28,
} as const;

const E = Element;
const ENABLED = { name: 'enabled', isRequired: false };

const text = (attributes: ElementRule['attributes'] = []): Omit<ElementRule, 'name'> => ({
  holds: 'text',
  required: [],
  optional: [],
  repeated: [],
  attributes,
});

const elements = (
  children: Partial<Pick<ElementRule, 'required' | 'optional' | 'repeated'>>,
  attributes: ElementRule['attributes'] = [],
): Omit<ElementRule, 'name'> => ({ holds: 'elements', required: [], optional: [], repeated: [], attributes, ...children });

const CONTENT: Readonly<Record<keyof typeof Element, Omit<ElementRule, 'name'>>> = {
  Timeline: elements({
    required: [E.ContentTitle, E.EditRate, E.MediaReferences, E.Stack],
    optional: [E.CompositionTimecode, E.Metadata],
  }),
  ContentTitle: text(),
  EditRate: text(),
  CompositionTimecode: elements({ required: [E.TimecodeDropFrame, E.TimecodeRate, E.TimecodeStartAddress] }),
  TimecodeDropFrame: text(),
  TimecodeRate: text(),
  TimecodeStartAddress: text(),
  MediaReferences: elements({ repeated: [E.ExternalReference] }),
  ExternalReference: elements({
    required: [E.Id, E.TargetUrl, E.EditRate],
    optional: [E.Name, E.AvailableRange, E.Metadata],
  }),
  Id: text(),
  TargetUrl: text(),
  AvailableRange: elements({ required: [E.StartTime, E.Duration] }),
  StartTime: text(),
  Duration: text(),
  Stack: elements({ repeated: [E.Track] }, [ENABLED]),
  Track: elements({ optional: [E.Name, E.EditRate, E.Metadata], repeated: [E.Clip, E.Gap, E.Transition] }, [
    { name: 'kind', isRequired: true },
    ENABLED,
  ]),
  Clip: elements(
    { required: [E.TrackFileId, E.EntryPoint, E.SourceDuration], optional: [E.Name, E.EditRate, E.TimeScalar, E.Metadata] },
    [ENABLED],
  ),
  Name: text(),
  TrackFileId: text(),
  EntryPoint: text(),
  SourceDuration: text(),
  TimeScalar: text(),
  Metadata: elements({ optional: [E.Reel], repeated: [E.Accept] }),
  Accept: text([{ name: 'code', isRequired: true }]),
  Reel: text(),
  Gap: elements({ required: [E.SourceDuration], optional: [E.EditRate] }),
  Transition: elements({ required: [E.InOffset, E.OutOffset], optional: [E.Name, E.EditRate] }),
  InOffset: text(),
  OutOffset: text(),
};

export const TIMELINE_VOCABULARY = compileVocabulary({
  namespace: TIMELINE_NAMESPACE,
  rules: (Object.keys(Element) as (keyof typeof Element)[]).map((name) => ({ name, ...CONTENT[name] })),
  root: Element.Timeline,
});
