/**
 * How the lag chart looks as a file: the style of the plots, and the tones of its marks.
 *
 * A chart that leaves the editor takes the editor's colours along, so that it looks as it did. Without them it follows the
 * reader's own choice of light, dark or high contrast through system colours, and a page it stands in can set each through a
 * custom property. No colour is fixed here, and none carries meaning alone.
 */

import { PLOT_STYLE } from '../plots/plotStyle.ts';

/** Colours as CSS writes them. */
export interface ChartPalette {
  readonly paper: string;
  readonly ink: string;
  readonly error: string;
  readonly warning: string;
  readonly information: string;
}

export function lagChartStyle(palette: ChartPalette | null): string {
  const tones =
    palette === null
      ? '--error: var(--afterclap-error, LinkText); --warning: var(--afterclap-warning, LinkText); --information: var(--afterclap-information, CanvasText);'
      : `--paper: ${safe(palette.paper)}; --ink: ${safe(palette.ink)}; --band: ${safe(palette.ink)}; --band-strength: 0.1; --error: ${safe(palette.error)}; --warning: ${safe(palette.warning)}; --information: ${safe(palette.information)};`;
  return `${PLOT_STYLE}svg.afterclap.lag-chart { ${tones} }
.tone-error { --tone: var(--error); } .tone-warning { --tone: var(--warning); } .tone-information { --tone: var(--information); }
.tone-accepted { --tone: var(--information); } .tone-plain { --tone: var(--ink); }
.line { stroke: var(--tone); stroke-width: 2; } .tone-plain .line { stroke-width: 1.4; stroke-opacity: 0.75; }
.whisker { stroke: var(--tone); stroke-width: 1; stroke-opacity: 0.7; fill: none; }
.shape { fill: var(--tone); stroke: var(--paper); stroke-width: 0.8; } .tone-accepted .shape { fill: var(--paper); stroke: var(--tone); stroke-width: 1.6; }
.edge { fill: none; stroke: var(--ink); stroke-opacity: var(--faint-strength); stroke-dasharray: 2 3; }
.clip { fill: var(--ink); fill-opacity: 0.09; stroke: var(--ink); stroke-opacity: 0.35; }
`;
}

/** Colours come from the editor; nothing else may get into a style sheet with them. */
function safe(colour: string): string {
  return /^[\w#(),.%/ -]+$/.test(colour) ? colour : 'CanvasText';
}
