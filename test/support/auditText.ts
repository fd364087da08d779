/**
 * One call from texts to an audit, as every test of the main job needs it.
 */

import { readReport } from '../../server/src/core/alignment/readReport.ts';
import { readSettings } from '../../server/src/core/alignment/readSettings.ts';
import { type Audit, audit } from '../../server/src/core/audit.ts';
import type { FormatId } from '../../server/src/core/timeline/model.ts';
import { writeCpl } from './cplCut.ts';
import { type TestCut, writeEdl, writeOtio, writeXml } from './cut.ts';
import { type TestReport, writeTestReport } from './report.ts';

export const FORMATS: readonly FormatId[] = ['otio', 'xml', 'edl', 'cpl'];

export function writeCut(cut: TestCut, format: FormatId): string {
  return { otio: writeOtio, xml: writeXml, edl: writeEdl, cpl: writeCpl }[format](cut);
}

/** `settings` is the text of an afterclap.json, as an object. */
export function auditText(format: FormatId, text: string, report: TestReport | null, settings: object = {}): Audit {
  return audit({
    format,
    text,
    reports: report === null ? [] : [readReport('day1.alignment.json', writeTestReport(report))],
    settings: readSettings('afterclap.json', JSON.stringify(settings)),
  });
}
