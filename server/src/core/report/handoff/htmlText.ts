/**
 * Small pieces of HTML as text. Every text from outside is escaped here and nowhere else.
 */

import { visibleText } from '../visibleText.ts';

/** HTML already, not text: a kind of its own, so that a name of a clip can't be taken for markup. */
export interface Html {
  readonly html: string;
}

export type HtmlContent = string | Html | readonly HtmlContent[];

/** `<name class="...">content</name>`; a string is text and gets escaped. */
export function tag(name: string, className: string | null, ...content: readonly HtmlContent[]): Html {
  const attribute = className === null ? '' : ` class="${className}"`;
  return { html: `<${name}${attribute}>${contentOf(content)}</${name}>` };
}

/** Markup that this program wrote. */
export function markup(html: string): Html {
  return { html };
}

export function escaped(text: string): string {
  return visibleText(text).replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;').replaceAll('"', '&quot;');
}

function contentOf(content: HtmlContent): string {
  if (typeof content === 'string') return escaped(content);
  return 'html' in content ? content.html : content.map(contentOf).join('');
}
