/**
 * Marks drawn once and stamped many times.
 *
 * A path of thousands of small shapes is slow to fill without a graphics card; copying a few pixels is not. A stamp is made for
 * each verdict, tone and size as they are first needed, and all are thrown away when the colours or the screen's density change.
 */

import { VERDICTS } from '../../../../server/src/core/report/lagChart/chartMarks.ts';
import { DOT_RADIUS, MARK_CORNERS } from '../../../../server/src/core/report/lagChart/markShapes.ts';

export interface MarkStyle {
  /** Index into `VERDICTS`. */
  readonly verdict: number;
  readonly colour: string;
  readonly paper: string;
  readonly size: number;
  readonly isHollow: boolean;
}

/** Draws one mark with its middle at a place. */
export type Stamp = (x: number, y: number) => void;

const stamps = new Map<string, ImageBitmap>();
const LARGEST_STAMP_COUNT = 200;

export function stampOf(context: CanvasRenderingContext2D, style: MarkStyle): Stamp {
  const ratio = devicePixelRatio;
  const place = (value: number): number => Math.round(value * ratio) / ratio;
  const side = Math.round(2 * DOT_RADIUS * style.size * ratio) / ratio;
  // Nobody sees that so small a dot is round, and a square costs a fraction.
  if (style.verdict === 0 && side < 5 && !style.isHollow) {
    return (x, y) => {
      context.fillStyle = style.colour;
      context.fillRect(place(x - side / 2), place(y - side / 2), side, side);
    };
  }
  // Room for the rim, and whole pixels so that the copy stays sharp.
  const reach = Math.ceil((style.size * 0.7 + 2) * ratio);
  const key = `${style.verdict} ${style.colour} ${style.paper} ${style.size.toFixed(1)} ${style.isHollow} ${ratio}`;
  let image = stamps.get(key);
  if (image === undefined) {
    if (stamps.size >= LARGEST_STAMP_COUNT) stamps.clear();
    image = drawStamp(style, reach, ratio);
    stamps.set(key, image);
  }
  const stamp = image;
  const width = (2 * reach) / ratio;
  return (x, y) => context.drawImage(stamp, place(x) - width / 2, place(y) - width / 2, width, width);
}

/** A bitmap and not a canvas: a browser takes a fresh copy of a canvas each time it is drawn. */
function drawStamp({ verdict, colour, paper, size, isHollow }: MarkStyle, reach: number, ratio: number): ImageBitmap {
  const canvas = new OffscreenCanvas(2 * reach, 2 * reach);
  const context = canvas.getContext('2d');
  if (context === null) return canvas.transferToImageBitmap();
  context.setTransform(ratio, 0, 0, ratio, reach, reach);
  context.lineJoin = 'round';
  traceMark(context, verdict, size);
  // A rim of paper keeps neighbours apart where shapes are large enough to have one; a hollow shape is filled with it.
  context.fillStyle = isHollow ? paper : colour;
  context.strokeStyle = isHollow ? colour : paper;
  context.lineWidth = 1.6;
  if (isHollow) context.fill();
  if (isHollow || size > 8) context.stroke();
  if (!isHollow) context.fill();
  return canvas.transferToImageBitmap();
}

function traceMark(context: OffscreenCanvasRenderingContext2D, verdict: number, size: number): void {
  const corners = MARK_CORNERS[VERDICTS[verdict] ?? 'in'];
  context.beginPath();
  if (corners.length === 0) context.arc(0, 0, DOT_RADIUS * size, 0, 2 * Math.PI);
  for (const [at, [x, y]] of corners.entries()) {
    if (at === 0) context.moveTo(x * size, y * size);
    else context.lineTo(x * size, y * size);
  }
  if (corners.length > 0) context.closePath();
}
