/**
 * The sync sheet as a page: for the person at the mix, on a screen or on paper.
 *
 * One file that needs nothing from outside and runs no script. What has to be known first stands first: what is missing, what was
 * compared and how it came out, rates, pops; then the chart, and then every clip.
 */

import type { PulledRange, PulledRecording } from '../../handoff/pullList.ts';
import { pullWords } from '../../handoff/pullWords.ts';
import type { SheetClip, SheetLag } from '../../handoff/sheetClips.ts';
import type { FindingPlace, SyncSheet } from '../../handoff/syncSheet.ts';
import type { Verdict } from '../../rules/comparison.ts';
import { amountOfTime } from '../../text/words.ts';
import { DOT_RADIUS, MARK_CORNERS, VERDICT_WORDS } from '../lagChart/markShapes.ts';
import { escaped, type Html, type HtmlContent, markup, tag } from './htmlText.ts';
import { SHEET_STYLE } from './sheetStyle.ts';

/** `chart` is the lag chart as SVG; null leaves its place empty. */
export function renderSheetPage(sheet: SyncSheet, chart: string | null): string {
  const body = [
    tag('h1', null, sheet.title),
    tag('p', 'sheet-kind', `Sync sheet of ${sheet.path}`),
    tag('p', 'sheet-headline', tag('strong', null, `${sheet.headline}.`.replace(/\.\.$/, '.'))),
    ...missing(sheet),
    facts(sheet),
    ...chartSection(chart),
    ...openFindings(sheet),
    ...acceptedExceptions(sheet),
    ...clipTable(sheet),
    ...pullTable(sheet),
    ...reelTable(sheet),
    footer(sheet),
  ];
  return `<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">
<title>${escaped(`Sync sheet: ${sheet.title}`)}</title>
<style>${SHEET_STYLE}</style>
</head>
<body>
${body.map(({ html }) => html).join('\n')}
</body>
</html>
`;
}

function missing(sheet: SyncSheet): readonly Html[] {
  if (sheet.missing.length === 0) return [];
  return [
    tag(
      'section',
      'sheet-missing',
      tag('h2', null, 'Missing from this hand-off'),
      list(sheet.missing.map((sentence) => [sentence])),
    ),
  ];
}

function facts({ summary }: SyncSheet): Html {
  return tag(
    'dl',
    'sheet-facts',
    summary.map(({ label, text }) => [tag('dt', null, label), tag('dd', null, text)]),
  );
}

/** The chart comes with a title of its own. */
function chartSection(chart: string | null): readonly Html[] {
  return chart === null ? [] : [tag('section', 'sheet-chart', markup(chart.replace(/^<!--.*?-->\s*/s, '')))];
}

function openFindings({ open }: SyncSheet): readonly Html[] {
  if (open.length === 0) return [];
  return [
    tag('h2', null, 'Open findings'),
    tag('p', 'sheet-quiet', 'Errors and warnings that nobody has accepted. Clips are numbered as in the table below.'),
    list(
      open.map(({ severity, code, message, clip }) => [
        tag('strong', null, `${severity}, ${code}`),
        clipNumber(clip),
        ': ',
        message,
      ]),
    ),
  ];
}

function acceptedExceptions({ accepted }: SyncSheet): readonly Html[] {
  if (accepted.length === 0) return [];
  return [
    tag('h2', null, 'Accepted exceptions'),
    tag('p', 'sheet-quiet', 'What somebody looked at and let stand, with the reason they gave.'),
    list(
      accepted.map(({ code, reason, message, clip }) => [
        tag('strong', null, code),
        clipNumber(clip),
        `: ${reason}`,
        tag('span', 'sheet-small', message),
      ]),
    ),
  ];
}

function clipNumber(place: FindingPlace | null): string {
  return place === null ? '' : ` (clip ${place.number}, ${place.recordIn} on ${place.track})`;
}

function list(items: readonly HtmlContent[]): Html {
  return tag(
    'ul',
    'sheet-list',
    items.map((item) => tag('li', null, item)),
  );
}

function clipTable({ clips }: SyncSheet): readonly Html[] {
  const head = [
    'No.',
    'Track',
    'Clip and media',
    'Record in, out',
    'Source in, out',
    'Recording',
    'Sound against its picture',
    'Exceptions',
  ];
  return [tag('h2', null, 'Clips in record order'), table(head, clips.map(clipRow))];
}

function clipRow(clip: SheetClip): Html {
  const kind = clip.isEnabled ? (clip.role === 'picture' ? 'sheet-picture' : null) : 'sheet-disabled';
  const slate = [
    ...(clip.scene === '' ? [] : [`scene ${clip.scene}`]),
    ...(clip.take === '' ? [] : [`take ${clip.take}`]),
    ...(clip.roll === '' ? [] : [`roll ${clip.roll}`]),
  ];
  const media = [
    clip.media === clip.name ? '' : clip.media,
    clip.reel === '' || clip.reel === clip.media ? '' : `reel ${clip.reel}`,
  ];
  return tag(
    'tr',
    kind,
    tag('td', 'sheet-number', String(clip.number)),
    tag('td', null, clip.track),
    tag(
      'td',
      null,
      tag('span', 'sheet-name', clip.name === '' ? '(unnamed)' : clip.name),
      small(media.filter((text) => text !== '').join(', ')),
    ),
    times(clip.recordIn, clip.recordOut),
    times(clip.sourceIn, clip.sourceOut),
    tag(
      'td',
      null,
      clip.entry === '' ? tag('span', 'sheet-quiet', 'not in the report') : clip.entry,
      small(slate.join(', ')),
      small(clip.inFile),
    ),
    tag(
      'td',
      null,
      clip.unchecked === null ? clip.lags.map(lagLine) : tag('span', 'sheet-quiet', `not compared: ${clip.unchecked}`),
    ),
    tag(
      'td',
      null,
      clip.accepted.map(({ code, reason }) => tag('span', 'sheet-accepted', `${code} accepted: ${reason}`)),
      clip.open.map((code) => line(`${code}, open`)),
    ),
  );
}

function lagLine({ verdict, words, against }: SheetLag): Html {
  const mark = (text: string): Html => tag('span', 'sheet-verdict', shape(verdict), text);
  const own = VERDICT_WORDS[verdict];
  // 'leads by 41.7 ms' says it already; 'in: lags by 2 ms' has to say both.
  const said = words.startsWith(`${own} `)
    ? [mark(own), words.slice(own.length)]
    : [mark(own), `: ${words.replace(/^is exact$/, 'exact')}`];
  return tag('span', 'sheet-line', said, small(`under ${against}`));
}

/** The same shapes as in the chart. */
function shape(verdict: Verdict): Html {
  const corners = MARK_CORNERS[verdict];
  const points = corners.map(([x, y]) => `${x},${y}`).join(' ');
  const drawn = corners.length === 0 ? `<circle r="${DOT_RADIUS}"/>` : `<polygon points="${points}"/>`;
  return markup(`<svg class="sheet-shape" viewBox="-0.75 -0.75 1.5 1.5" aria-hidden="true">${drawn}</svg>`);
}

function pullTable({ recordings }: SyncSheet): readonly Html[] {
  if (recordings.length === 0) return [];
  const head = ['Recording', 'File', 'Range with handles', 'In samples', 'Length', 'Used by', 'Missing'];
  const rows = recordings.flatMap((recording) =>
    recording.ranges.length === 0
      ? [pullRow(recording, null, true)]
      : recording.ranges.map((range, index) => pullRow(recording, range, index === 0)),
  );
  return [
    tag('h2', null, 'Pull list'),
    tag(
      'p',
      'sheet-quiet',
      'What the cut uses of each recording, handles added, merged where ranges meet. Times are those of the recording: time of day by its stamp, else from its start.',
    ),
    table(head, rows),
  ];
}

function pullRow(recording: PulledRecording, range: PulledRange | null, isFirst: boolean): Html {
  const words = pullWords(recording);
  const { found, sound, camera, remarks } = recording;
  const facts = found?.kind === 'found' ? found.facts : null;
  const form =
    facts === null
      ? words.sampleRateWords
      : `${words.sampleRateWords}, ${facts.bits} bit${facts.isFloat ? ' float' : ''}, ${facts.channelCount} ch`;
  const names = facts?.trackNames.filter((name) => name !== '') ?? [];
  const cells = range === null ? null : words.range(range);
  return tag(
    'tr',
    null,
    tag(
      'td',
      null,
      isFirst ? [tag('span', 'sheet-name', recording.name), small((sound ?? camera)?.key ?? 'not in the report')] : '',
    ),
    tag(
      'td',
      null,
      isFirst
        ? [
            form,
            small(words.length === '' ? '' : `${words.length} long`),
            small(names.join(', ')),
            small(found?.kind === 'absent' ? found.reason : (facts?.path ?? '')),
          ]
        : '',
    ),
    cells === null ? tag('td', null, '') : times(cells.inClock, cells.outClock),
    cells === null ? tag('td', null, '') : times(cells.inSample, cells.outSample),
    tag('td', 'sheet-time', cells?.length ?? ''),
    tag('td', null, cells?.usedBy.flatMap(({ places }) => places).map(line) ?? ''),
    tag('td', null, range === null ? '' : shortHandles(range).map(line), isFirst ? remarks.map(line) : ''),
  );
}

function shortHandles({ missingHead, missingTail }: PulledRange): readonly string[] {
  return [
    ...(missingHead.numerator > 0 ? [`handle short by ${amountOfTime(missingHead)} at the head`] : []),
    ...(missingTail.numerator > 0 ? [`handle short by ${amountOfTime(missingTail)} at the tail`] : []),
  ];
}

function reelTable({ reels }: SyncSheet): readonly Html[] {
  if (reels.length === 0) return [];
  return [
    tag('h2', null, 'Sync reels'),
    tag(
      'p',
      'sheet-quiet',
      'Each begins with the first frame of its picture and is as long; laid at its timecode, it is in sync as far as the report is right.',
    ),
    table(
      ['File', 'Picture and recording', 'First sample at', 'Length', 'How it was made'],
      reels.map(({ path, of, start, length, samples, how }) =>
        tag(
          'tr',
          null,
          tag('td', 'sheet-file', tag('span', 'sheet-name', path)),
          tag('td', null, of),
          tag('td', 'sheet-time', start),
          tag('td', 'sheet-time', length, small(samples)),
          tag('td', null, how),
        ),
      ),
    ),
  ];
}

function table(head: readonly string[], rows: readonly Html[]): Html {
  return tag(
    'div',
    'sheet-table',
    tag(
      'table',
      null,
      tag(
        'thead',
        null,
        tag(
          'tr',
          null,
          head.map((title) => tag('th', null, title)),
        ),
      ),
      tag('tbody', null, rows),
    ),
  );
}

function times(first: string, second: string): Html {
  return tag('td', 'sheet-time', line(first), line(second));
}

function line(text: string): Html {
  return tag('span', 'sheet-line', text);
}

function small(text: string): HtmlContent {
  return text === '' ? '' : tag('span', 'sheet-small', text);
}

function footer({ made, command }: SyncSheet): Html {
  return tag(
    'footer',
    null,
    tag('p', null, made, '. ', tag('code', null, command)),
    tag(
      'p',
      null,
      'The report is as good as its measurement. Check by eye and ear before the mix. Delivery specifications decide.',
    ),
  );
}
