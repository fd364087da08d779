import { describe, expect, it } from 'vitest';
import { type Page, pageAsMarkdown, pageAsText } from '../../../server/src/core/views/page.ts';

const page: Page = [
  { kind: 'headline', text: 'deck-01 leads.', detail: 'Likely cause: a slip.' },
  {
    kind: 'table',
    columns: ['At frame 1', 'expected', 'found'],
    rows: [['deck-01 is at', 'sample 10', 'sample 12']],
  },
  { kind: 'note', text: 'From day1.' },
];

describe('a page', () => {
  it('is Markdown for clients that render it', () => {
    expect(pageAsMarkdown(page).split('\n')).toEqual([
      '**deck-01 leads.** Likely cause: a slip.',
      '',
      '| At frame 1 | expected | found |',
      '|:--|--:|--:|',
      '| deck-01 is at | sample 10 | sample 12 |',
      '',
      '*From day1.*',
    ]);
  });

  it('is aligned text for the others', () => {
    expect(pageAsText(page).split('\n')).toEqual([
      'deck-01 leads. Likely cause: a slip.',
      '',
      'At frame 1     expected   found',
      'deck-01 is at  sample 10  sample 12',
      '',
      'From day1.',
    ]);
  });

  it('keeps names as they are written, whatever Markdown would make of them', () => {
    const name = 'a*b_c|d`e[f](g)<h>#1\nsecond line';
    const text = pageAsMarkdown([{ kind: 'table', columns: [name], rows: [] }]);
    expect(text.split('\n')).toHaveLength(2);
    expect(text).toContain('a\\*b\\_c\\|d\\`e\\[f\\](g)\\<h\\>\\#1 second line');
  });
});
