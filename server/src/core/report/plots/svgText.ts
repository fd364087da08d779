/**
 * Small pieces of SVG as text.
 *
 * Names of files come from outside, so every text and attribute is escaped here and nowhere else. Coordinates are written with two
 * decimals: finer than any screen, and the same on every machine.
 */

import { visibleText } from '../visibleText.ts';

export type Attributes = Readonly<Record<string, string | number>>;

/** `<name a="b">content</name>`; `content` is SVG already, see `textOf` for text. */
export function element(name: string, attributes: Attributes, content = ''): string {
  const written = Object.entries(attributes)
    .map(([key, value]) => ` ${key}="${typeof value === 'number' ? coordinate(value) : escaped(value)}"`)
    .join('');
  return content === '' ? `<${name}${written}/>` : `<${name}${written}>${content}</${name}>`;
}

/** Text made safe to stand between tags. */
export function textOf(text: string): string {
  return escaped(text);
}

/** A number with two decimals at most; a value that is no number is drawn at 0, so that a plot is never broken XML. */
export function coordinate(value: number): string {
  if (!Number.isFinite(value)) return '0';
  const rounded = Math.round(value * 100) / 100;
  return String(rounded === 0 ? 0 : rounded);
}

/** `M x,y L x,y ...` through the points. */
export function pathThrough(points: readonly (readonly [x: number, y: number])[]): string {
  return points.map(([x, y], index) => `${index === 0 ? 'M' : 'L'}${coordinate(x)},${coordinate(y)}`).join(' ');
}

function escaped(text: string): string {
  return visibleText(text)
    .replace(/[\ufffe\uffff]/g, '\ufffd')
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;');
}
