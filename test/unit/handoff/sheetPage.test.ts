/**
 * The sync sheet as a page: whole, self-contained, safe with any name; and, where Chromium is, looked at in light, dark and on paper.
 */

import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { type Browser, chromium, type Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { chromiumPath } from '../../editor/editorHost.ts';
import { buildCli, makeWorkspace, type Workspace } from '../cli/runCli.ts';

const HOSTILE = `</style><script>document.title='taken'</script><img src=x onerror="document.title='taken'">`;

let work: Workspace;
let page: string;
let path: string;

beforeAll(async () => {
  work = makeWorkspace('samples');
  const cli = await buildCli();
  try {
    const cut = readFileSync(work.path('millrace.otio'), 'utf8');
    work.write('millrace.otio', cut.replaceAll('"hands, flour"', JSON.stringify(HOSTILE)));
    expect((await cli.run(['handoff', 'millrace.otio', '--out', 'mix'], work.folder)).exitCode).toBe(1);
    path = work.path('mix/millrace.sync-sheet.html');
    page = readFileSync(path, 'utf8');
  } finally {
    cli.dispose();
  }
});
afterAll(() => work.dispose());

describe('the page', () => {
  test('needs nothing from outside and runs nothing', () => {
    const tags = [...page.matchAll(/<([a-z][\w-]*)([^>]*)>/gi)].map(([, name, attributes]) => ({ name, attributes }));
    const running = tags.filter(
      ({ name, attributes }) =>
        /^(?:script|img|link|iframe|object|embed|form)$/i.test(name ?? '') ||
        /\son\w+\s*=|\ssrc|\shref|javascript:/i.test(attributes ?? ''),
    );
    expect(running).toEqual([]);
    expect(tags.length).toBeGreaterThan(500);
    expect(page.match(/https?:\/\/(?!www\.w3\.org\/2000\/svg)[^"\s]*|@import|url\(/g)).toBeNull();
    expect(page.includes(`content="default-src 'none'; style-src 'unsafe-inline'"`)).toBe(true);
  });

  test('says what a mix asks for first', () => {
    const facts = [...page.matchAll(/<dt>(.*?)<\/dt><dd>(.*?)<\/dd>/g)].map(([, label, text]) => `${label}: ${text}`);
    expect(facts).toEqual([
      'Timeline: millrace.otio, OTIO JSON',
      'Frame rate: 23.976 (24000/1001) frames per second, non-drop-frame: the global start time counts 23.976 frames per second',
      'Record: 01:00:00:00 to 01:21:35:19, first and last frame; 21:37.129 long',
      'Programme: 01:00:00:00 (the first picture begins there) to 01:21:35:19 (the last picture ends there), first and last frame',
      'Sync pop: 00:59:58:00: 48 frames, 2.002 s before the first frame. One frame of tone is 2002 samples at 48000 Hz. The timeline begins after it, so it has none.',
      'Tail pop: 01:21:37:19: 48 frames, 2.002 s after the start of the last frame. The timeline ends before it, so it has none.',
      'Sample rates: 48 kHz (8 recordings); the timeline counts some at another rate, see the findings',
      'Handles: 2s before and after each cut, the default: 48 frames, 2.002 s',
      'Report: millrace.alignment.json is used: named in afterclap.json.',
      'Tolerance: lead 1ms, lag 1f; one frame is 41.7 ms here; from afterclap.json',
      'Findings: 10 errors and 1 warning open; 1 accepted with a reason',
    ]);
    expect(page).toContain('18 pictures with sound: 9 in, 3 lead, 5 lag and 1 drifts.');
  });

  test('holds every clip, once, in record order, and the same table holds them too', () => {
    const numbers = [...page.matchAll(/<td class="sheet-number">(\d+)<\/td>/g)].map(([, number]) => Number(number));
    expect(numbers).toEqual(Array.from({ length: 31 }, (_, index) => index + 1));
    const table = readFileSync(work.path('mix/millrace.sync-sheet.csv'), 'utf8').trimEnd().split('\r\n');
    // Two sounds lie under two pictures each.
    expect(table).toHaveLength(1 + 31 + 2);
  });

  test('words each lag, never with a sign, and gives exceptions their reasons', () => {
    expect(page).toContain('</svg>leads</span> by 41.7 ms (1 frame at 23.976, 2002 samples)');
    expect(page).toContain('</svg>in</span>: lags by 8.4 ms (0.2 frames at 23.976, 401.5 samples)');
    expect(page).toContain('</svg>in</span>: exact');
    expect(page).toContain('</svg>drifts</span>: lags by 6.4 ms at the head and by 66.9 ms at the tail');
    expect(page).toContain('sound-lags accepted: the bell hangs across the valley and should be heard late');
    expect(page).not.toMatch(/[-\u2212+]\d+(?:\.\d+)? ms/);
  });

  test('says of what was not compared that it was not, and why', () => {
    expect(page).toContain('not compared: the report pairs no sound with it');
  });

  test('has the lag chart in it', () => {
    expect(page).toContain('class="afterclap lag-chart"');
    expect(page.match(/<svg/g)?.length).toBeGreaterThan(18);
  });

  test('shows a name that is markup as the text it is', () => {
    expect(page).toContain('&lt;script&gt;document.title=');
  });
});

describe('in a browser', () => {
  let browser: Browser | null = null;
  beforeAll(async () => {
    const executablePath = chromiumPath();
    if (executablePath === null) console.log('skipped: no Chromium here to look at the sheet');
    else browser = await chromium.launch({ executablePath, args: ['--no-sandbox'] });
  });
  afterAll(() => browser?.close());

  async function open(options: {
    colorScheme: 'light' | 'dark';
    width?: number;
  }): Promise<{ readonly page: Page; readonly complaints: string[] } | null> {
    if (browser === null) return null;
    const context = await browser.newContext({
      colorScheme: options.colorScheme,
      viewport: { width: options.width ?? 1360, height: 900 },
    });
    const opened = await context.newPage();
    const complaints: string[] = [];
    opened.on('console', (message) => complaints.push(message.text()));
    opened.on('pageerror', (error) => complaints.push(String(error)));
    opened.on('request', (request) => {
      if (!request.url().startsWith('file:')) complaints.push(request.url());
    });
    await opened.goto(`file://${path}`);
    return { page: opened, complaints };
  }

  const paper = (opened: Page): Promise<string> => opened.evaluate('getComputedStyle(document.body).backgroundColor');

  test.each(['light', 'dark'] as const)('%s: its own paper, no complaint, nothing wider than the window', async (colorScheme) => {
    const opened = await open({ colorScheme });
    if (opened === null) return;
    expect(opened.complaints).toEqual([]);
    expect(await opened.page.title()).toBe('Sync sheet: Millrace, cut 3');
    const [red = 0] = (await paper(opened.page)).match(/\d+/g)?.map(Number) ?? [];
    expect(colorScheme === 'light' ? red > 200 : red < 60).toBe(true);
    expect(await opened.page.evaluate('document.documentElement.scrollWidth - window.innerWidth')).toBeLessThanOrEqual(0);
  });

  test('a telephone scrolls the tables, not the page', async () => {
    const opened = await open({ colorScheme: 'light', width: 400 });
    if (opened === null) return;
    expect(await opened.page.evaluate('document.documentElement.scrollWidth - window.innerWidth')).toBeLessThanOrEqual(0);
  });

  test('on paper: light whatever the screen is, the head of the table on each page, no heading left alone', async () => {
    const opened = await open({ colorScheme: 'dark' });
    if (opened === null) return;
    await opened.page.emulateMedia({ media: 'print' });
    const [red = 0] = (await paper(opened.page)).match(/\d+/g)?.map(Number) ?? [];
    expect(red).toBeGreaterThan(200);
    await opened.page.emulateMedia({ media: null });
    const pdf = work.path('sheet.pdf');
    await opened.page.pdf({ path: pdf, preferCSSPageSize: true });
    let pages: readonly string[];
    try {
      pages = execFileSync('pdftotext', ['-layout', pdf, '-'], { encoding: 'utf8' })
        .split('\f')
        .filter((text) => text.trim() !== '');
    } catch {
      console.log('skipped: no pdftotext here to read the printed sheet');
      return;
    }
    expect(pages.length).toBeGreaterThan(3);
    const isClipRow = /^\s*\d+\s+[AV]\d\s/m;
    const tablePages = pages.filter((text) => isClipRow.test(text));
    expect(tablePages.length).toBeGreaterThan(1);
    for (const text of tablePages) expect(text).toMatch(/Record in, out\s+Source in, out/);
    for (const [index, text] of pages.entries()) {
      expect(text).toContain(`${index + 1} of ${pages.length}`);
      const lines = text
        .trim()
        .split('\n')
        .map((line) => line.trim())
        .filter((line) => line !== '');
      // The last line is the page's number; before it stands no title of a section.
      expect(lines.at(-2)).not.toMatch(/^(?:Open findings|Accepted exceptions|Clips in record order|Pull list|Sync reels)$/);
    }
  });
});
