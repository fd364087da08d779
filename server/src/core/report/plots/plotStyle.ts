/**
 * How plots look, in light and dark.
 *
 * No colour is fixed: all are the system colours of CSS Color 4, which follow the reader's own choice of light, dark or high
 * contrast, and each can be set from outside through a custom property when the plot stands in a page. Meaning never hangs on colour:
 * what matters is also drawn thicker, dashed or filled, and named in words. Programs that know no custom properties fall back on
 * the attributes: dark on white.
 */

export const PLOT_STYLE = `
svg.afterclap { color-scheme: light dark; --paper: var(--afterclap-paper, Canvas); --ink: var(--afterclap-ink, CanvasText);
  --mark: var(--afterclap-mark, LinkText); --band: var(--afterclap-band, Highlight); --band-strength: 0.22; --faint-strength: 0.28;
  font-family: system-ui, sans-serif; font-size: 12.5px; font-variant-numeric: tabular-nums; }
@media (prefers-color-scheme: dark) { svg.afterclap { --band-strength: 0.45; --faint-strength: 0.38; } }
@media (prefers-contrast: more) { svg.afterclap { --faint-strength: 0.7; } }
.paper { fill: var(--paper); }
text { fill: var(--ink); }
.heading { font-size: 16px; font-weight: 600; }
.panel-title { font-weight: 600; }
.quiet { opacity: 0.75; }
.over { paint-order: stroke; stroke: var(--paper); stroke-width: 4px; stroke-linejoin: round; }
.frame { fill: none; stroke: var(--ink); stroke-opacity: var(--faint-strength); }
.grid { stroke: var(--ink); stroke-opacity: var(--faint-strength); }
.zero { stroke: var(--ink); stroke-opacity: calc(var(--faint-strength) + 0.2); }
.wave { fill: var(--ink); stroke: var(--ink); stroke-width: 0.6; stroke-linejoin: round; fill-opacity: 0.75; }
.trace { fill: none; stroke: var(--ink); stroke-width: 1.4; stroke-linejoin: round; }
.other { fill: none; stroke: var(--mark); stroke-width: 1.2; stroke-dasharray: 5 2.5; stroke-linejoin: round; }
.mark { stroke: var(--mark); stroke-width: 2; fill: none; }
.mark-shape { fill: var(--mark); stroke: var(--mark); }
.mark-text { fill: var(--mark); font-weight: 600; }
.band { fill: var(--band); fill-opacity: var(--band-strength); stroke: none; }
.band-edge { stroke: var(--ink); stroke-opacity: 0.6; stroke-dasharray: 3 3; }
.agrees { fill: var(--ink); stroke: var(--ink); }
.differs { fill: none; stroke: var(--ink); stroke-width: 1.4; }
.jump { stroke: var(--ink); stroke-width: 1.4; stroke-dasharray: 7 3 1.5 3; }
`;
