/**
 * The page of the clap desk in a real browser, over real files: which frame is seen is read off its pixels, what is written is exact, and
 * whatever can't be had is said.
 *
 * Accessibility is held to WCAG 2.2 where it can be counted: 2.1.1 (all by keyboard), 1.4.1 (never by colour alone), 4.1.2 (names).
 */

import { appendFile, mkdir, mkdtemp, rm, stat, truncate, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { drawnColours } from '../chart/pageProbes.ts';
import { chromiumPath, THEMES, type ThemeName } from '../pages/stubbedPage.ts';
import { type DeskPages, type OpenDesk, startDeskPages } from './deskPage.ts';
import { type HeardSound, heardLater, takeDownSounds } from './heard.ts';
import {
  CAMERA_START,
  CLAP,
  FIRST_CLOSED,
  FRAME_COUNT,
  H264,
  hasFfmpeg,
  MPEG2,
  REPORT,
  REPORT_NAME,
  SAMPLES_PER_FRAME,
  stretchRecording,
  VP9,
  writeCamera,
  writeRecording,
} from './scene.ts';

const SAMPLE_RATE = 48_000;

const skipped = chromiumPath() === null ? 'no Chromium' : (await hasFfmpeg()) ? null : 'no ffmpeg to make camera files with';
if (skipped !== null) console.log(`test/unit/desk/page skipped: ${skipped}`);

describe.skipIf(skipped !== null)('the page of the clap desk', () => {
  let root: string;
  let pages: DeskPages;
  /** A folder with the scene, and a camera file of this coding. */
  const scene = async (name: string): Promise<string> => {
    const folder = join(root, name);
    await writeRecording(folder);
    return folder;
  };
  let h264: string;

  beforeAll(async () => {
    root = await mkdtemp(join(tmpdir(), 'afterclap-desk-page-'));
    pages = await startDeskPages();
    h264 = await scene('h264');
    await writeCamera(h264, H264);
  }, 120_000);
  afterAll(async () => {
    await pages?.stop();
    await rm(root, { recursive: true, force: true });
  });

  describe('picture and sound together', () => {
    /** Both as they are heard on Space: first the recording in one piece of two and a half seconds, then the camera's own sound in many. */
    const listen = async (desk: OpenDesk, taken: () => Promise<readonly HeardSound[]>) => {
      await desk.press('Space');
      await desk.page.getByRole('button', { name: 'Stop', exact: true }).first().waitFor();
      const [recording, ...camera] = await taken();
      await desk.press('Escape');
      expect(recording?.samples.length).toBe(2.5 * SAMPLE_RATE);
      expect(camera.length).toBeGreaterThan(1);
      return { recording: recording === undefined ? [] : [recording], camera };
    };

    it.each([
      { name: 'MP4', coding: H264, sampleShift: 0, within: 1 },
      // Opus begins with 312 samples that nobody is to hear (pre-skip, RFC 7845), for which ffmpeg's WebM holds the picture back and not
      // the sound; and WebM counts in whole milliseconds (RFC 9559). The page has to hear it as the file says.
      { name: 'WebM', coding: VP9, sampleShift: -312, within: 48 },
    ])(
      'are heard at the very offset that was chosen, from $name',
      async ({ coding, sampleShift, within }) => {
        const folder = coding === H264 ? h264 : await scene('heard');
        if (coding !== H264) await writeCamera(folder, coding);
        const desk = await pages.open(folder);
        await desk.untilReady();
        await desk.pickedPicture();
        const taken = await takeDownSounds(desk.page);
        // The camera heard what the recorder heard, from CAMERA_START on: where the picture belongs there, both are heard as one.
        const expectLater = async (frame: number): Promise<void> => {
          const { recording, camera } = await listen(desk, taken);
          const later = heardLater(recording, camera, { sampleRate: SAMPLE_RATE, reach: 6500 });
          const wanted = CLAP - frame * SAMPLES_PER_FRAME - CAMERA_START + sampleShift;
          expect(Math.abs(later - wanted)).toBeLessThanOrEqual(within);
        };
        await expectLater(58);
        await desk.press('ArrowLeft', 'ArrowLeft');
        await expectLater(56);
        await desk.press('Shift+ArrowRight');
        await expectLater(56.1);
        await desk.close();
      },
      60_000,
    );
  });

  describe('under its own policy', () => {
    it('loads, shows the pair, and gives the browser nothing to complain of', async () => {
      const desk = await pages.open(h264);
      await desk.untilReady();
      await expect.poll(() => desk.headline()).toBe(`The start of frame 58 (14:03:22:10) is heard at sample ${CLAP}.`);
      expect(await desk.page.locator('.search').textContent()).toContain('2 claps were heard.');
      await desk.pickedPicture();
      expect(desk.complaints).toEqual([]);
      await desk.close();
    });

    it('reads names as text, whatever stands in them', async () => {
      const desk = await pages.open(h264);
      await desk.untilReady();
      const name = '<img src=x onerror=1>';
      await desk.tell(REPORT.replaceAll('cam-a-20', name));
      await desk.page.getByRole('combobox', { name: 'Pair' }).getByText(name).waitFor({ state: 'attached' });
      expect(await desk.page.locator('img').count()).toBe(0);
      await desk.close();
    });
  });

  describe("the camera's frames", () => {
    it.each([
      ['H.264 with pictures that look forward', H264],
      ['VP9 in a container that counts milliseconds', VP9],
    ])(
      'of %s are exactly those of their numbers',
      async (_, coding) => {
        const folder = coding === H264 ? h264 : await scene(coding.name);
        if (coding !== H264) await writeCamera(folder, coding);
        const desk = await pages.open(folder);
        await desk.untilReady();
        for (const wanted of [58, 0, 1, 23, 24, 25, FIRST_CLOSED - 1, FIRST_CLOSED, FRAME_COUNT - 2, FRAME_COUNT - 1]) {
          await desk.page.locator('#frame').fill(String(wanted));
          await desk.page.locator('#frame').press('Enter');
          await desk.page.locator('figure.picked figcaption').getByText(`Frame ${wanted},`).waitFor();
          await expect.poll(() => desk.pickedPicture(), { message: `frame ${wanted}` }).toBe(wanted);
        }
        expect(desk.complaints).toEqual([]);
        await desk.close();
      },
      120_000,
    );

    it('are stepped through by keys, one at a time', async () => {
      const desk = await pages.open(h264);
      await desk.untilReady();
      for (let frame = 57; frame >= FIRST_CLOSED - 2; frame -= 1) {
        await desk.press('ArrowLeft');
        await expect.poll(() => desk.pickedPicture()).toBe(frame);
      }
      // A second has 24 labels at 24000/1001.
      await desk.press('.');
      await expect.poll(() => desk.pickedPicture()).toBe(FIRST_CLOSED - 2 + 24);
      await desk.close();
    });

    it('that can not be decoded are said to be, with the coding and a way on; a timecode can be typed', async () => {
      const folder = await scene('mpeg2');
      await writeCamera(folder, MPEG2);
      const desk = await pages.open(folder);
      await desk.untilReady();
      await desk.page.locator('#picture-line').getByText("can't be").waitFor();
      const words = (await desk.page.locator('#picture-line p').textContent()) ?? '';
      expect(words).toContain('CAM_A_0020.mov');
      expect(words).toContain('type its frame here, as number or timecode');
      await desk.page.locator('#frame').fill('14:03:22:08');
      await desk.page.getByRole('button', { name: 'Pick', exact: true }).click();
      await expect.poll(() => desk.headline()).toContain('The start of frame 56 (14:03:22:08)');
      await desk.page.locator('#frame').fill('99:00:00:00');
      await desk.page.locator('#frame').press('Enter');
      await expect.poll(() => desk.page.locator('#frame-complaint').textContent()).toContain('There is no such timecode');
      await desk.close();
    }, 60_000);

    it('of a file that is missing are said to be missing, and where it was looked for', async () => {
      const desk = await pages.open(await scene('no-camera'));
      await desk.untilReady();
      await desk.page
        .locator('#picture-line')
        .getByText(`CAM_A_0020.mp4 is not there: it was looked for beside ${REPORT_NAME}`)
        .waitFor();
      await desk.page.getByRole('button', { name: 'Choose the camera file…' }).waitFor();
      await desk.close();
    });

    it('are read by ranges: a file of hundreds of megabytes costs a few', async () => {
      const folder = await scene('large');
      const path = await writeCamera(folder, {
        ...H264,
        words: H264.words.filter((word) => word !== '-movflags' && word !== '+faststart'),
      });
      // A box of free space at the end, as ISO/IEC 14496-12 has it: 32 bits of size, then 'free'. The file system keeps no zeros.
      const { size } = await stat(path);
      const free = 300 * 1024 * 1024;
      const head = Buffer.alloc(8);
      head.writeUInt32BE(free, 0);
      head.write('free', 4, 'latin1');
      await appendFile(path, head);
      await truncate(path, size + free);
      const desk = await pages.open(folder);
      await desk.untilReady();
      expect(await desk.pickedPicture()).toBe(58);
      expect(desk.cameraBytes()).toBeLessThan(4 * 1024 * 1024);
      await desk.close();
    }, 60_000);

    it('of a file at another rate than the report says are said to be others', async () => {
      const folder = join(root, 'rate');
      await writeRecording(folder);
      await writeCamera(folder, H264);
      await writeFile(
        join(folder, REPORT_NAME),
        REPORT.replace('["CAM_A_0020.mp4"], "rate": "24000/1001"', '["CAM_A_0020.mp4"], "rate": 25'),
      );
      const desk = await pages.open(folder);
      await desk.untilReady();
      await desk.page
        .getByText("CAM_A_0020.mp4 shows 23.976 frames per second, and the report counts 25: its frames are not the report's.")
        .waitFor();
      await desk.close();
    }, 60_000);
  });

  describe('picking and writing', () => {
    it('writes exactly what the keys came to', async () => {
      const desk = await pages.open(h264);
      await desk.untilReady();
      await desk.press(
        'ArrowLeft',
        'ArrowLeft',
        'Shift+ArrowRight',
        'Shift+ArrowRight',
        'ArrowUp',
        'ArrowUp',
        'ArrowUp',
        'Enter',
      );
      await desk.page.getByText('Written.').waitFor();
      expect(desk.written).toEqual([
        {
          pair: 0,
          picture: 'cam-a-20',
          sound: 'deck-20',
          frame: '281/5',
          sample: String(CLAP + 3),
          // A frame, a sample of doubt, and by hand 0.2 frames later and three samples earlier: 1.2 x 1001/24000 s - 2/48000 s.
          early: '0',
          late: '6001/120000',
          by: 'eye',
          clap: 1,
        },
      ]);
      await desk.close();
    });

    it('follows the report when it changes, and keeps what was picked', async () => {
      const desk = await pages.open(h264);
      await desk.untilReady();
      await desk.tell(REPORT.replace('"frame": 58', '"frame": 60'));
      await desk.page.getByText('The start of frame 60').waitFor();
      await desk.press('ArrowLeft');
      await desk.tell(REPORT);
      await expect.poll(() => desk.headline()).toContain('The start of frame 59');
      await desk.press('r');
      await expect.poll(() => desk.headline()).toContain('The start of frame 58');
      await desk.close();
    });

    it('picks by a click on a picture, and the picture comes under the edge', async () => {
      const desk = await pages.open(h264, { width: 1100 });
      await desk.untilReady();
      await desk.pickedPicture();
      const box = (await desk.page.locator('#bench').boundingBox()) as { x: number; y: number; width: number; height: number };
      // The edge stands at 45 % of the width; a frame is 2002 of 17280 samples across. Two and a half frames before it is frame 55.
      const frame = (2002 / 17_280) * box.width;
      await desk.page.mouse.click(box.x + 0.45 * box.width - 2.5 * frame, box.y + box.height - 40);
      await expect.poll(() => desk.headline()).toContain('The start of frame 55 ');
      expect(await desk.pickedPicture()).toBe(55);
      await desk.close();
    });

    it('keeps what was picked over a restart', async () => {
      const desk = await pages.open(h264);
      await desk.untilReady();
      await desk.press('ArrowLeft', 'Shift+ArrowRight', '+', '+');
      const memory = await desk.memory();
      await desk.close();
      const again = await pages.open(h264, { memory });
      await again.untilReady();
      await expect.poll(() => again.headline()).toContain('The start of frame 57.1 ');
      expect((await again.memory()).view).toEqual(memory.view);
      await again.close();
    });
  });

  describe('a recording', () => {
    it('that is missing is said to be, with where it was looked for and a way to choose it', async () => {
      const folder = join(root, 'no-sound');
      await mkdir(folder);
      await writeFile(join(folder, REPORT_NAME), REPORT);
      const desk = await pages.open(folder);
      await desk.page
        .getByText(`DECK_0020.wav is not there: it was looked for beside ${REPORT_NAME}, in the folder no-sound.`)
        .waitFor();
      await desk.page.getByRole('button', { name: 'Choose the recording…' }).waitFor();
      await desk.page.getByText('There is no recording to look at.').waitFor();
      await desk.close();
    });

    it('of two hours opens at once on its clap, and is read to the end only when asked', async () => {
      const folder = await scene('hours');
      await stretchRecording(folder);
      const desk = await pages.open(folder);
      await desk.page.getByText('Only 8 s around the clap were listened to.').waitFor();
      await desk.page.locator('.clap').getByText('edge within').first().waitFor();
      await desk.press('Shift+0');
      await desk.page.locator('#hint').getByText('only parts of it were read').waitFor();
      await desk.page.getByRole('button', { name: 'Listen to All of It' }).click();
      await desk.page.getByRole('button', { name: 'Stop Listening' }).click();
      await desk.page.getByText('Stopped before all of it was heard.').waitFor();
      expect(desk.complaints).toEqual([]);
      await desk.close();
    }, 60_000);

    it('without a clap says so, and an edge can be put by hand, with keys alone', async () => {
      const folder = await scene('silence');
      await writeFile(
        join(folder, REPORT_NAME),
        REPORT.replace(/, "claps": \[[^\]]*\]/, '').replace(/"pairs": \[[\s\S]*\n {2}\]/, '"pairs": []'),
      );
      await writeFile(join(folder, 'DECK_0020.wav'), silentWave(480_000));
      const desk = await pages.open(folder);
      await desk.untilReady();
      expect(await desk.page.locator('.search').textContent()).toContain('No clap was found in the recording.');
      await expect.poll(() => desk.headline()).toBe('First pick the frame in which the hands meet.');
      await desk.press('ArrowRight', 'PageDown', 'e');
      await expect.poll(() => desk.headline()).toMatch(/^The start of frame 1 .* is heard at sample \d+\.$/);
      await desk.press('Enter');
      await desk.page.getByText('Written.').waitFor();
      expect(desk.written[0]).toMatchObject({ pair: null, by: 'eye', clap: null });
      await desk.close();
    });

    it('at another rate than the report says can be looked at and not written', async () => {
      const folder = await scene('sample-rate');
      await writeFile(join(folder, REPORT_NAME), REPORT.replace('"sampleRate": 48000', '"sampleRate": 48048'));
      const desk = await pages.open(folder);
      await desk.untilReady();
      await desk.page.getByText('DECK_0020.wav has 48000 samples per second, and the report counts 48048').waitFor();
      await desk.press('ArrowLeft', 'Enter');
      await expect.poll(() => desk.page.locator('#write').isDisabled()).toBe(true);
      expect(desk.written).toEqual([]);
      await desk.close();
    });

    it('is not there to look at in a report that names none, which says what to do', async () => {
      const desk = await pages.open(h264);
      await desk.tell('{ "alignment": 1, "pictures": {}, "sounds": {}, "pairs": [] }');
      await desk.page.getByText('names no picture and no sound yet').waitFor();
      await desk.close();
    });
  });

  describe('for every reader', () => {
    it('names every control, and says each act to a screen reader', async () => {
      const desk = await pages.open(h264);
      await desk.untilReady();
      await desk.press('ArrowLeft');
      await expect.poll(() => desk.page.locator('#spoken').textContent()).toContain('The start of frame 57 ');
      await expect.poll(() => desk.page.locator('#bench').getAttribute('aria-label')).toContain('The start of frame 57 ');
      const nameless = await desk.page.evaluate(() => {
        const { document } = globalThis as unknown as {
          document: { querySelectorAll: (selector: string) => Iterable<NamedElement> };
        };
        return [...document.querySelectorAll('button, select, input')]
          .filter(
            (one) => (one.getAttribute('aria-label') ?? '') === '' && one.textContent.trim() === '' && one.labels.length === 0,
          )
          .map((one) => one.id);
      });
      expect(nameless).toEqual([]);
      await desk.close();
    });

    it.each(Object.keys(THEMES) as ThemeName[])(
      "draws in the colours of the theme '%s' and in no others of its own",
      async (theme) => {
        const desk = await pages.open(await sceneWithoutCamera(), { theme });
        await desk.untilReady();
        await desk.press('ArrowLeft');
        const [paper = '', ink = '', , , , , focus = ''] = THEMES[theme].colours;
        const counts = await drawnColours(desk.page, [paper, ink, focus]);
        expect(
          counts.every((count) => count > 40),
          `${counts}`,
        ).toBe(true);
        await desk.close();
      },
    );

    it('stays readable where colours are forced', async () => {
      const desk = await pages.open(await sceneWithoutCamera(), { areColoursForced: true });
      await desk.untilReady();
      expect(desk.complaints).toEqual([]);
      await desk.close();
    });
  });

  let bare: Promise<string> | null = null;
  /** Pictures would bring colours of their own. */
  function sceneWithoutCamera(): Promise<string> {
    bare ??= scene('bare');
    return bare;
  }
});

interface NamedElement {
  readonly id: string;
  readonly textContent: string;
  readonly labels: { readonly length: number };
  readonly getAttribute: (name: string) => string | null;
}

/** 48 kHz, one channel, 16 bits, all zero: the published RIFF/WAVE layout. */
function silentWave(samples: number): Buffer {
  const bytes = Buffer.alloc(44 + 2 * samples);
  bytes.write('RIFF', 0, 'latin1');
  bytes.writeUInt32LE(bytes.length - 8, 4);
  bytes.write('WAVEfmt ', 8, 'latin1');
  for (const [value, at] of [
    [16, 16],
    [48_000, 24],
    [96_000, 28],
    [2 * samples, 40],
  ] as const)
    bytes.writeUInt32LE(value, at);
  for (const [value, at] of [
    [1, 20],
    [1, 22],
    [2, 32],
    [16, 34],
  ] as const)
    bytes.writeUInt16LE(value, at);
  bytes.write('data', 36, 'latin1');
  return bytes;
}
