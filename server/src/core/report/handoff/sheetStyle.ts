/**
 * How a sync sheet looks: on a screen in light and dark, and on paper.
 *
 * No colour is fixed: all are the system colours of CSS Color 4, which follow the reader's own choice. On paper they are those of a light
 * page whatever the screen shows. Nothing is told by colour alone; the verdicts are words with a shape each.
 */

export const SHEET_STYLE = `
:root { color-scheme: light dark; --rule: color-mix(in srgb, CanvasText 22%, Canvas); --shade: color-mix(in srgb, CanvasText 5%, Canvas);
  --quiet: color-mix(in srgb, CanvasText 68%, Canvas); }
* { box-sizing: border-box; }
body { margin: 0 auto; max-width: 1280px; padding: 28px 32px 40px; background: Canvas; color: CanvasText;
  font: 14px/1.45 system-ui, sans-serif; font-variant-numeric: tabular-nums; }
h1 { font-size: 25px; line-height: 1.2; margin: 0 0 4px; font-weight: 650; overflow-wrap: anywhere; }
h2 { font-size: 17px; margin: 34px 0 8px; font-weight: 650; }
p { margin: 6px 0; max-width: 100ch; }
.sheet-kind { margin: 0 0 10px; color: var(--quiet); }
.sheet-headline { font-size: 17px; margin: 0 0 18px; }
.sheet-quiet { color: var(--quiet); }
.sheet-facts { display: grid; grid-template-columns: max-content 1fr; margin: 0; border-top: 1px solid var(--rule); }
.sheet-facts dt, .sheet-facts dd { margin: 0; padding: 5px 18px 5px 0; border-bottom: 1px solid var(--rule); overflow-wrap: anywhere; }
.sheet-facts dt { font-weight: 600; }
.sheet-chart { margin-top: 30px; } .sheet-chart svg { width: 100%; height: auto; display: block; }
table { border-collapse: collapse; width: 100%; font-size: 13px; }
th, td { text-align: left; vertical-align: top; padding: 5px 12px 5px 0; border-bottom: 1px solid var(--rule); overflow-wrap: anywhere; }
th { font-weight: 600; border-bottom: 2px solid currentColor; white-space: nowrap; }
td.sheet-time, td.sheet-number { white-space: nowrap; overflow-wrap: normal; }
td.sheet-number { text-align: right; padding-right: 14px; color: var(--quiet); }
td.sheet-file { min-width: 17em; }
tr.sheet-picture > td { background: var(--shade); }
tr.sheet-disabled > td { color: var(--quiet); }
.sheet-name { font-weight: 600; }
.sheet-line { display: block; }
.sheet-small { display: block; font-size: 12px; color: var(--quiet); }
.sheet-verdict { font-weight: 650; white-space: nowrap; }
.sheet-shape { width: 11px; height: 11px; margin-right: 5px; vertical-align: -1px; fill: currentColor; }
.sheet-accepted { border-left: 3px double currentColor; padding-left: 8px; display: block; }
.sheet-list { margin: 0; padding-left: 20px; }
.sheet-list li { margin: 5px 0; }
.sheet-missing { border: 2px solid currentColor; padding: 8px 14px; margin: 16px 0; }
.sheet-missing h2 { margin: 0 0 4px; }
footer { margin-top: 34px; padding-top: 10px; border-top: 1px solid var(--rule); font-size: 12px; color: var(--quiet); }
code { font-family: ui-monospace, monospace; font-size: 0.95em; overflow-wrap: anywhere; }
@media (max-width: 700px) { body { padding: 16px; } .sheet-facts { grid-template-columns: 1fr; } .sheet-facts dt { border: 0; padding-bottom: 0; } .sheet-table { overflow-x: auto; } table { min-width: 820px; } }
@page { size: landscape; margin: 12mm 11mm 15mm; @bottom-right { content: counter(page) " of " counter(pages); font: 8pt system-ui, sans-serif; } }
@media print {
  :root { color-scheme: light; }
  body { max-width: none; padding: 0; font-size: 9.5pt; }
  h1 { font-size: 17pt; } h2 { font-size: 12pt; margin-top: 16pt; break-after: avoid; }
  .sheet-headline { font-size: 11.5pt; margin-bottom: 8pt; }
  table { font-size: 8.5pt; }
  thead { display: table-header-group; }
  p.sheet-quiet { break-after: avoid; }
  tr, .sheet-list li, .sheet-facts dt, .sheet-facts dd, .sheet-chart, .sheet-missing { break-inside: avoid; }
  th, td { padding: 3pt 8pt 3pt 0; }
  .sheet-small { font-size: 7.5pt; }
  tr.sheet-picture > td { print-color-adjust: exact; }
}
`;
