/**
 * What a view shows, before anybody decides how: paragraphs and small tables of plain text.
 *
 * Every view that shows prose makes a `Page`; the editor edge renders it as Markdown, or as aligned text for clients that
 * take no Markdown. Text in a page is plain: Markdown is escaped here and nowhere else, so a clip named `*a*` stays one.
 */

export type Block =
  /** The answer in one sentence; `detail` goes on in the same paragraph, with less weight. */
  | { readonly kind: 'headline'; readonly text: string; readonly detail: string | null }
  | { readonly kind: 'text'; readonly text: string }
  /** Small print: where a number comes from. */
  | { readonly kind: 'note'; readonly text: string }
  | {
      readonly kind: 'table';
      /** The first heads the row labels. */
      readonly columns: readonly string[];
      readonly rows: readonly (readonly string[])[];
    };

export type Page = readonly Block[];

export function pageAsMarkdown(page: Page): string {
  return page.map(blockAsMarkdown).join('\n\n');
}

export function pageAsText(page: Page): string {
  return page.map(blockAsText).join('\n\n');
}

function blockAsMarkdown(block: Block): string {
  switch (block.kind) {
    case 'headline':
      return `**${escaped(block.text)}**${block.detail === null ? '' : ` ${escaped(block.detail)}`}`;
    case 'text':
      return escaped(block.text);
    case 'note':
      return `*${escaped(block.text)}*`;
    case 'table': {
      // Editors leave little room between columns: figures at the right stand apart from the labels, and digit under digit.
      const rule = block.columns.map((_, column) => (column === 0 ? ':--' : '--:')).join('|');
      const lines = [block.columns, ...block.rows].map((cells) => `|${cells.map((cell) => ` ${escaped(cell)} `).join('|')}|`);
      return [lines[0], `|${rule}|`, ...lines.slice(1)].join('\n');
    }
  }
}

function blockAsText(block: Block): string {
  if (block.kind === 'headline') return block.detail === null ? block.text : `${block.text} ${block.detail}`;
  if (block.kind !== 'table') return block.text;
  const lines = [block.columns, ...block.rows].filter((cells) => cells.some((cell) => cell !== ''));
  const widths = block.columns.map((_, column) => Math.max(...lines.map((cells) => (cells[column] ?? '').length)));
  return lines
    .map((cells) =>
      cells
        .map((cell, column) => cell.padEnd(widths[column] as number))
        .join('  ')
        .trimEnd(),
    )
    .join('\n');
}

/** Every character that Markdown or a table could take for its own. Spaces that hold a number to its unit are kept. */
function escaped(text: string): string {
  return text.replace(/[\\`*_{}[\]<>#|~]/g, '\\$&').replace(/\s*\n\s*/g, ' ');
}
