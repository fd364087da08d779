/**
 * Draws the icon's PNGs from client/media/icon.svg, by the browser that the editor tests use too.
 *
 *   node .build/icon.mjs
 *
 * Run it after a change of the drawing, and look at both sizes, and at 32 pixels, on light and dark. Extension pages take PNG only;
 * 256 is for screens with two pixels in place of one.
 */

import { readFile, writeFile } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { chromium } from 'playwright-core';

const media = join(dirname(dirname(fileURLToPath(import.meta.url))), 'client', 'media');
const SIZES = { 'icon.png': 256, 'icon-128.png': 128 };

const svg = await readFile(join(media, 'icon.svg'));
const browser = await chromium.launch({
  executablePath: process.env['AFTERCLAP_CHROMIUM'] ?? '/usr/bin/chromium',
  args: ['--no-sandbox', '--disable-gpu'],
});
for (const [name, size] of Object.entries(SIZES)) {
  const page = await browser.newPage({ viewport: { width: size, height: size } });
  const source = `data:image/svg+xml;base64,${svg.toString('base64')}`;
  await page.setContent(`<body style="margin:0"><img id="icon" width="${size}" height="${size}" src="${source}"></body>`);
  await page.locator('#icon').evaluate((image) => image.decode());
  await writeFile(join(media, name), await page.screenshot({ omitBackground: true }));
  await page.close();
}
await browser.close();
