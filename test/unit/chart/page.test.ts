/**
 * The page of the lag chart in a real browser: seen, pointed at, steered by keys alone, read by a screen reader, in every theme.
 *
 * Accessibility is held to WCAG 2.2 where it can be counted: 2.1.1 (all by keyboard), 1.4.1 (never by colour alone), 1.4.13 and 4.1.2
 * (names and roles), 2.3.3 (no motion for those who want none).
 */

import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { PageMemory } from '../../../client/src/chart/chartMessages.ts';
import { chartLayout, chartScale } from '../../../server/src/core/report/lagChart/chartLayout.ts';
import { chartMarks } from '../../../server/src/core/report/lagChart/chartMarks.ts';
import { fittedView } from '../../../server/src/core/report/lagChart/chartView.ts';
import { emptyPlace, placeMark } from '../../../server/src/core/report/lagChart/markPlaces.ts';
import type { LagChart } from '../../../server/src/core/views/lagChartData.ts';
import { chromiumPath, setTheme, THEMES, type ThemeName } from '../pages/stubbedPage.ts';
import { type ChartPageHost, type OpenChart, startChartPages } from './chartPage.ts';
import { chartOf, longChart, sampleChart } from './charts.ts';
import { countDrawing, drawnColours, firstAndLastFrame } from './pageProbes.ts';

if (chromiumPath() === null) console.log('test/unit/chart/page skipped: no Chromium');

const chart = sampleChart();

/** Index of the comparison with a sound clip of this name. */
function indexOf(name: string): number {
  return chart.comparisons.findIndex(({ sound }) => chart.clips[sound]?.name === name);
}

/** Where a mark stands in the window, worked out beside the page. */
async function placeOf({ page }: OpenChart, index: number, shownChart: LagChart = chart): Promise<{ x: number; y: number }> {
  const box = (await page.locator('.chart').boundingBox()) as { x: number; y: number; width: number; height: number };
  const marks = chartMarks(shownChart);
  const layout = chartLayout(shownChart, Math.round(box.width), Math.round(box.height));
  const place = emptyPlace();
  placeMark(
    marks,
    index,
    layout,
    chartScale(
      layout,
      fittedView(marks, () => true),
    ),
    place,
  );
  if (place.hasLine) return { x: box.x + place.x, y: box.y + place.y };
  const edge = place.over === null ? layout.under : layout.over;
  return { x: box.x + ((place.over ?? place.under) as number), y: box.y + edge.top + edge.height / 2 };
}

async function viewOf(opened: OpenChart): Promise<NonNullable<PageMemory['view']>> {
  const { view } = (await opened.memory()) as PageMemory;
  if (view === null) throw new Error('nobody has moved the view');
  return view;
}

describe.skipIf(chromiumPath() === null)('the page', () => {
  let host: ChartPageHost;
  beforeAll(async () => {
    host = await startChartPages();
  }, 60_000);
  afterAll(() => host?.stop());

  describe('under its own policy', () => {
    it('loads, shows the sample, and gives the browser nothing to complain of', async () => {
      const opened = await host.open({ chart });
      expect(await opened.headline()).toBe(
        '18 comparisons: 9 in, 3 lead, 5 lag, 1 drifts. 1 enabled clip is compared with nothing.',
      );
      expect(opened.complaints).toEqual([]);
      await opened.close();
    });

    it('reads names as text, whatever stands in them', async () => {
      const name = '<img src=x onerror="document.title=1"><script>document.title=2</script>';
      const clips = chart.clips.map((clip) => ({ ...clip, name }));
      const opened = await host.open({ chart: { ...chart, clips } });
      await opened.press('Home', 't');
      expect(await opened.headline()).toContain(name);
      expect(await opened.page.locator('img, tbody script').count()).toBe(0);
      expect(await opened.page.title()).toBe('Lag chart');
      expect(opened.complaints).toEqual([]);
      await opened.close();
    });
  });

  describe('zoom and pan', () => {
    it('the wheel zooms record time around the pointer', async () => {
      const opened = await host.open({ chart });
      const latch = await placeOf(opened, indexOf('door, latch (deck)'));
      await opened.page.mouse.move(latch.x, latch.y);
      for (let notch = 0; notch < 12; notch += 1) await opened.page.mouse.wheel(0, -100);
      await opened.settle();
      const { recordStart, recordEnd } = await viewOf(opened);
      // Twelve notches of a quarter each; the clip at 10 to 20 s stays in view.
      expect(recordEnd - recordStart).toBeLessThan(1300 / 1.25 ** 11);
      expect([recordStart < 15, recordEnd > 15]).toEqual([true, true]);
      await opened.close();
    });

    it('with Alt, or over the numbers at the left, it zooms the lags; with Shift it moves along', async () => {
      const opened = await host.open({ chart });
      const box = (await opened.page.locator('.chart').boundingBox()) as { x: number; y: number; height: number };
      const fitted = fittedView(chartMarks(chart), () => true);
      await opened.page.mouse.move(box.x + 20, box.y + box.height / 3);
      await opened.page.mouse.wheel(0, -300);
      await opened.settle();
      const zoomed = await viewOf(opened);
      expect(zoomed.lagHigh - zoomed.lagLow).toBeLessThan((fitted.lagHigh - fitted.lagLow) * 0.6);
      expect(zoomed.recordEnd).toBeCloseTo(fitted.recordEnd, 6);
      await opened.press('+', '+', '+');
      const before = await viewOf(opened);
      await opened.page.mouse.move(box.x + 400, box.y + 100);
      await opened.page.keyboard.down('Shift');
      await opened.page.mouse.wheel(0, 100);
      await opened.page.keyboard.up('Shift');
      await opened.settle();
      expect((await viewOf(opened)).recordStart).toBeGreaterThan(before.recordStart);
      await opened.close();
    });

    it('dragging takes the chart along, and is no click', async () => {
      const opened = await host.open({ chart });
      await opened.press('+', '+', '+');
      const before = await viewOf(opened);
      const box = (await opened.page.locator('.chart').boundingBox()) as { x: number; y: number };
      await opened.page.mouse.move(box.x + 500, box.y + 200);
      await opened.page.mouse.down();
      await opened.page.mouse.move(box.x + 420, box.y + 240, { steps: 4 });
      await opened.page.mouse.up();
      await opened.settle();
      const after = await viewOf(opened);
      expect(after.recordStart).toBeGreaterThan(before.recordStart);
      expect(after.lagLow).toBeGreaterThan(before.lagLow);
      expect((await opened.sent()).filter(({ kind }) => kind === 'reveal')).toEqual([]);
      await opened.close();
    });

    it('buttons and keys do the same', async () => {
      const byKeys = await host.open({ chart });
      await byKeys.press('+', 'Shift+ArrowRight', 'Alt+ArrowUp', 'Shift+ArrowUp');
      const byButtons = await host.open({ chart });
      for (const name of ['Show less record time', 'Later', 'Show smaller lags', 'Towards lags']) {
        await byButtons.page.getByRole('button', { name, exact: true }).click();
      }
      await byButtons.settle();
      expect(await viewOf(byButtons)).toEqual(await viewOf(byKeys));
      await byKeys.press('0');
      expect(((await byKeys.memory()) as PageMemory).view).toBeNull();
      await byKeys.press('Shift+0');
      // Every lag in scale: the clip that leads by 36.16 s too (samples/README.md).
      expect((await viewOf(byKeys)).lagLow).toBeLessThan(-36.16);
      await byKeys.close();
      await byButtons.close();
    });
  });

  describe('pointing', () => {
    it('reads out exact numbers in words, and forgets them when the pointer leaves', async () => {
      const opened = await host.open({ chart });
      const latch = await placeOf(opened, indexOf('door, latch (deck)'));
      await opened.page.mouse.move(latch.x, latch.y);
      await opened.settle();
      expect(await opened.headline()).toBe('door, latch (deck) leads by 41.7 ms, 1 frame, 2002 samples.');
      expect(await opened.detail()).toContain('Against door, latch (V1), heard on A1, 01:00:10:00 to 01:00:20:00.');
      expect(await opened.detail()).toContain('true to 20.9 ms either way');
      await opened.page.mouse.move(2, 2);
      await opened.settle();
      expect(await opened.headline()).toContain('18 comparisons');
      await opened.close();
    });

    it('finds what lies far beyond the view at its edge', async () => {
      const opened = await host.open({ chart });
      const wild = await placeOf(opened, indexOf('miller, reverse (deck)'));
      await opened.page.mouse.move(wild.x, wild.y);
      await opened.settle();
      expect(await opened.headline()).toContain('miller, reverse (deck) leads by 36.16 s');
      await opened.close();
    });

    it('a click asks for the text of the sound clip, with Shift of the picture clip', async () => {
      const opened = await host.open({ chart });
      const index = indexOf('race, wide (deck)');
      const { x, y } = await placeOf(opened, index);
      await opened.page.mouse.click(x, y);
      await opened.page.keyboard.down('Shift');
      await opened.page.mouse.click(x, y);
      await opened.page.keyboard.up('Shift');
      const { sound, picture } = chart.comparisons[index] ?? { sound: -1, picture: -1 };
      expect((await opened.sent()).filter(({ kind }) => kind === 'reveal')).toEqual([
        { kind: 'reveal', clip: sound, version: 1 },
        { kind: 'reveal', clip: picture, version: 1 },
      ]);
      await opened.close();
    });

    it('on the row of a track means the clip there', async () => {
      const opened = await host.open({ chart });
      const box = (await opened.page.locator('.chart').boundingBox()) as { x: number; y: number; width: number; height: number };
      const layout = chartLayout(chart, Math.round(box.width), Math.round(box.height));
      const row = layout.rows[2]?.box;
      await opened.page.mouse.move(box.x + box.width / 2, box.y + (row?.top ?? 0) + 10);
      await opened.settle();
      expect(await opened.headline()).toContain('miller, long take (pocket) lags by 6.4 ms');
      await opened.close();
    });
  });

  describe('by keyboard alone', () => {
    it('every control can be reached, none of what is unseen', async () => {
      const opened = await host.open({ chart });
      const reached: string[] = [];
      for (let step = 0; step < 30; step += 1) {
        await opened.page.keyboard.press('Tab');
        const name = await opened.page.evaluate(() => {
          const { activeElement } = (globalThis as unknown as { document: { activeElement: Record<string, unknown> } }).document;
          return String(activeElement['id'] || (activeElement['textContent'] as string) || activeElement['className']).slice(
            0,
            30,
          );
        });
        if (name === reached[0]) break;
        reached.push(name);
      }
      expect(reached.slice(0, 18)).toEqual([
        'verdict-in',
        'verdict-leads',
        'verdict-lags',
        'verdict-drifts',
        'filter-recording',
        'filter-picture',
        '←',
        '−',
        '+',
        '→',
        '↑',
        '−',
        '+',
        '↓',
        'Fit',
        'All in scale',
        'Table',
        'Save SVG',
      ]);
      expect(reached.slice(18, 20)).toEqual(['chart', 'How to read it, keys and wheel']);
      expect(reached.join()).not.toContain('door,');
      await opened.close();
    });

    it('goes from one to the next that is out, says each to a screen reader, and shows its text', async () => {
      const opened = await host.open({ chart });
      await opened.press('PageDown');
      expect(await opened.headline()).toContain('door, latch (deck)');
      expect(await opened.page.locator('[aria-live=polite]').textContent()).toMatch(
        /^door, latch \(deck\) leads by 41\.7 ms, 1 frame, 2002 samples, 01:00:10:00 to 01:00:20:00\. Likely cause/,
      );
      await opened.press('PageDown', 'Enter');
      const { sound } = chart.comparisons[indexOf('door, step (deck)')] ?? { sound: -1 };
      expect((await opened.sent()).at(-1)).toEqual({ kind: 'reveal', clip: sound, version: 1 });
      await opened.press('End', 'ArrowRight');
      expect(await opened.page.locator('[aria-live=polite]').textContent()).toBe('There is none further on.');
      await opened.press('Escape');
      expect(await opened.headline()).toContain('18 comparisons');
      await opened.close();
    });

    it('brings what is chosen into view', async () => {
      const opened = await host.open({ chart });
      await opened.press('Home', '+', '+', '+', '+', '+', 'End');
      const { recordStart, recordEnd } = await viewOf(opened);
      const bell = chart.comparisons.at(-1);
      expect(bell?.at).toBe('01:21:25:20 to 01:21:35:20');
      // From the first instant at 01:00:00:00: 21 min 25 s and 20 frames of timecode at 24000/1001.
      expect([recordStart < 1287.1, recordEnd > 1297.1]).toEqual([true, true]);
      await opened.close();
    });
  });

  describe('filters', () => {
    it('hide verdicts, and count what is left', async () => {
      const opened = await host.open({ chart });
      await opened.page.getByLabel('in 9').uncheck();
      await opened.settle();
      expect(await opened.page.locator('tbody tr').count()).toBe(9);
      expect(await opened.page.locator('.hint').textContent()).toContain(
        'Shown: 9 of 18 comparisons; only leads and lags and drifts.',
      );
      await opened.close();
    });

    it('keep to one recording, and to one picture', async () => {
      const opened = await host.open({ chart });
      await opened.page.getByLabel('Recording').selectOption({ label: 'deck-01 (5)' });
      await opened.settle();
      expect(await opened.page.locator('tbody tr').count()).toBe(5);
      await opened.page.getByLabel('Picture', { exact: true }).selectOption({ label: 'cam-b-01 (1)' });
      await opened.settle();
      expect(await opened.page.locator('tbody td:nth-child(2)').allTextContents()).toEqual(['door, reverse (deck)']);
      await opened.close();
    });

    it('that hide everything say so, and let everything back', async () => {
      const opened = await host.open({ chart });
      for (const verdict of ['in', 'leads', 'lags', 'drifts']) await opened.page.locator(`#verdict-${verdict}`).uncheck();
      await opened.settle();
      expect(await opened.page.locator('.empty').textContent()).toContain('All 18 comparisons are filtered out.');
      expect(await opened.page.locator('.chart').isVisible()).toBe(false);
      await opened.page.getByRole('button', { name: 'Show all' }).click();
      await opened.settle();
      expect(await opened.page.locator('tbody tr').count()).toBe(18);
      await opened.close();
    });

    it('on a recording that is gone from the text are let go', async () => {
      const opened = await host.open({ chart });
      await opened.page.getByLabel('Recording').selectOption({ label: 'pocket-03 (1)' });
      await opened.send({ kind: 'chart', chart: chartOf([{ start: 0, end: 1, head: 0 }]), version: 2 });
      expect(await opened.page.locator('tbody tr').count()).toBe(1);
      await opened.close();
    });
  });

  describe('following the text', () => {
    it('moves the mark, and keeps what is chosen and what is seen', async () => {
      const opened = await host.open({ chart });
      await opened.press('PageDown', '+', '+');
      const view = await viewOf(opened);
      const at = indexOf('door, latch (deck)');
      const comparisons = chart.comparisons.map((comparison, index) =>
        index === at
          ? {
              ...comparison,
              head: '0',
              tail: '0',
              verdict: 'in' as const,
              severity: 'none' as const,
              words: 'is exact',
              remarks: '',
            }
          : comparison,
      );
      await opened.send({ kind: 'chart', chart: { ...chart, comparisons }, version: 2 });
      expect(await opened.headline()).toBe('door, latch (deck) is exact.');
      expect(await viewOf(opened)).toEqual(view);
      await opened.press('Enter');
      expect((await opened.sent()).at(-1)).toMatchObject({ kind: 'reveal', version: 2 });
      // The report was changed back, and not the text.
      await opened.send({ kind: 'chart', chart, version: 2 });
      expect(await opened.headline()).toBe('door, latch (deck) leads by 41.7 ms, 1 frame, 2002 samples.');
      await opened.close();
    });

    it('marks the clip at the caret in words and in the picture', async () => {
      const opened = await host.open({ chart });
      const before = await opened.page.locator('.chart').screenshot();
      await opened.send({ kind: 'caret', clips: [chart.comparisons[indexOf('bell, far (deck)')]?.sound ?? -1] });
      expect(await opened.page.locator('.readout').textContent()).toContain('At the caret: bell, far (deck) lags by 85.9 ms');
      expect((await opened.page.locator('.chart').screenshot()).equals(before)).toBe(false);
      await opened.send({ kind: 'caret', clips: [] });
      expect((await opened.page.locator('.chart').screenshot()).equals(before)).toBe(true);
      await opened.close();
    });
  });

  describe('as a table', () => {
    it('stands behind the chart for screen readers', async () => {
      const opened = await host.open({ chart });
      const snapshot = await opened.page.locator('main').ariaSnapshot();
      expect(snapshot).toContain('application "Lag chart of Millrace, cut 3. 18 comparisons: 9 in, 3 lead, 5 lag, 1 drifts.');
      expect(snapshot).toMatch(
        /row "leads door, latch \(deck\) leads by 41\.7 ms, 1 frame, 2002 samples 01:00:10:00 to 01:00:20:00 door, latch deck-01 cam-a-01/,
      );
      await opened.close();
    });

    it('opens for everybody, marks what is chosen, and shows the text of a clip', async () => {
      const opened = await host.open({ chart, height: 1000 });
      await opened.press('t', 'PageDown');
      expect(await opened.page.locator('tr.chosen td:nth-child(2)').textContent()).toBe('door, latch (deck)');
      await opened.page.getByRole('button', { name: 'stones, close' }).click();
      await opened.settle();
      const wanted = chart.clips.findIndex(({ name }) => name === 'stones, close');
      expect((await opened.sent()).at(-1)).toEqual({ kind: 'reveal', clip: wanted, version: 1 });
      expect(await opened.headline()).toContain('stones (deck)');
      await opened.close();
    });

    it('of ten thousand rows holds a page, turns it, and says where it is', async () => {
      const opened = await host.open({ chart: longChart(10_000), height: 1000 });
      await opened.press('t');
      const rows = opened.page.locator('tbody tr');
      expect(await rows.count()).toBe(100);
      expect(await opened.page.locator('table').getAttribute('aria-rowcount')).toBe('10001');
      await opened.page.getByRole('button', { name: 'Rows after' }).click();
      await opened.settle();
      expect(await opened.page.locator('caption').textContent()).toBe('Comparisons 101 to 200 of 10000');
      expect(await rows.first().getAttribute('aria-rowindex')).toBe('102');
      await opened.press('End');
      expect(await opened.page.locator('tr.chosen').getAttribute('data-index')).toBe('9999');
      await opened.close();
    });
  });

  describe('themes', () => {
    it.each(Object.keys(THEMES) as ThemeName[])('%s gives paper, marks and text its own colours', async (theme) => {
      const opened = await host.open({ chart, theme });
      const [paper, ink, , error, , information] = THEMES[theme].colours;
      const drawn = await drawnColours(opened.page, [paper, ink, error, information]);
      expect(
        drawn.every((pixels) => pixels > 10),
        `pixels of ${[paper, ink, error, information].join(', ')}: ${drawn}`,
      ).toBe(true);
      expect(opened.complaints).toEqual([]);
      await opened.close();
    });

    it('that change are followed at once', async () => {
      const opened = await host.open({ chart, theme: 'light' });
      await setTheme(opened.page, 'contrast');
      await opened.settle();
      const [dark, light] = await drawnColours(opened.page, [THEMES.contrast.colours[0], THEMES.light.colours[0]]);
      expect(dark).toBeGreaterThan(light ?? 0);
      await opened.close();
    });

    it('give way to the colours that a reader forces', async () => {
      const opened = await host.open({ chart, theme: 'dark', areColoursForced: true });
      // Smoothed edges of letters may happen to have that colour; a background would be hundreds of thousands of pixels.
      const [paper] = await drawnColours(opened.page, [THEMES.dark.colours[0]]);
      expect(paper).toBeLessThan(2000);
      await opened.close();
    });

    it('are not needed to tell verdicts apart: each has a shape of its own', async () => {
      const opened = await host.open({ chart });
      const shapes = await opened.page
        .locator('.verdict .mark-icon')
        .evaluateAll((icons) => icons.map((icon) => (icon as { innerHTML: string }).innerHTML));
      expect(new Set(shapes).size).toBe(4);
      await opened.close();
    });
  });

  describe('motion', () => {
    it('is left out for those who want none', async () => {
      const still = await host.open({ chart, isMotionReduced: true });
      const { isSame } = await firstAndLastFrame(still.page);
      expect(isSame).toBe(true);
      await still.close();
    });

    it('lets the eye follow otherwise', async () => {
      const moving = await host.open({ chart, isMotionReduced: false });
      const { isSame } = await firstAndLastFrame(moving.page);
      expect(isSame).toBe(false);
      await moving.close();
    });
  });

  describe('with nothing to show', () => {
    it('says that it waits', async () => {
      const opened = await host.open();
      expect(await opened.page.locator('.empty').textContent()).toContain('Reading the timeline…');
      expect(await opened.sent()).toEqual([{ kind: 'ready' }]);
      await opened.close();
    });

    it('says why, in the words it was given', async () => {
      const opened = await host.open({
        chart: { ...chartOf([]), empty: 'There is no alignment report to hold this timeline against.' },
      });
      expect(await opened.page.locator('.empty').textContent()).toContain(
        'There is no alignment report to hold this timeline against.',
      );
      expect(await opened.page.getByRole('button', { name: 'Fit' }).isDisabled()).toBe(true);
      await opened.close();
    });

    it('offers to open the timeline when that would help', async () => {
      const opened = await host.open({ chart });
      await opened.send({ kind: 'notice', words: 'millrace.otio is not open.', canOpen: true });
      await opened.page.getByRole('button', { name: 'Open the timeline' }).click();
      expect((await opened.sent()).at(-1)).toEqual({ kind: 'open' });
      await opened.send({ kind: 'chart', chart, version: 2 });
      expect(await opened.page.locator('.chart').isVisible()).toBe(true);
      await opened.close();
    });
  });

  it('comes back as it was left', async () => {
    const first = await host.open({ chart });
    await first.press('+', '+', 't');
    await first.page.getByLabel('in 9').uncheck();
    await first.settle();
    const memory = (await first.memory()) as PageMemory;
    const second = await host.open({ chart, memory });
    expect(await second.memory()).toEqual(memory);
    expect(await second.page.locator('tbody tr').count()).toBe(9);
    expect(memory.uri).toBe('file:///cut/millrace.otio');
    await first.close();
    await second.close();
  });

  it('hands over a picture of what is shown, in the colours of the theme', async () => {
    const opened = await host.open({ chart, theme: 'light' });
    await opened.page.getByLabel('in 9').uncheck();
    await opened.page.getByRole('button', { name: 'Save SVG' }).click();
    const message = (await opened.sent()).at(-1);
    const svg = message?.kind === 'export' ? message.svg : '';
    expect(svg).toContain('Shown: 9 of 18 comparisons');
    expect(svg.match(/<g class="tone-\w+"><title>/g)).toHaveLength(9);
    expect(svg).toContain('--error: rgb(209, 26, 26)');
    await opened.close();
  });

  it('draws little more for forty thousand comparisons than for ten thousand: the work is bounded by the picture', async () => {
    const work: number[] = [];
    for (const count of [10_000, 40_000]) {
      const opened = await host.open({ chart: longChart(count), width: 1400, height: 900 });
      const { operations, framesPerSecond } = await countDrawing(opened.page);
      console.log(
        `${count} comparisons: ${operations} drawing operations a frame, ${framesPerSecond} frames a second on this machine just now`,
      );
      work.push(operations);
      await opened.close();
    }
    // Four times as many, and less than twice the work; the cells of marks in the plot are the limit.
    expect(work[1]).toBeLessThan((work[0] ?? 0) * 2);
    expect(work[1]).toBeLessThan(20_000);
  }, 120_000);
});
