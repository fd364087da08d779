/**
 * The editor's colours as the canvas needs them.
 *
 * chart.css names what each colour is for and takes it from the theme; here the names are turned into values. A canvas knows no
 * custom properties, so an element is asked what they came out as. Asked again only when the theme changes.
 */

export interface Palette {
  readonly paper: string;
  readonly ink: string;
  readonly quiet: string;
  readonly error: string;
  readonly warning: string;
  readonly information: string;
  readonly focus: string;
  /** How strongly thin lines and areas are drawn, 0 to 1; more in high contrast. */
  readonly gridStrength: number;
  readonly bandStrength: number;
  readonly font: string;
}

const COLOURS = ['paper', 'ink', 'quiet', 'error', 'warning', 'information', 'focus'] as const;

export function readPalette(element: HTMLElement): Palette {
  const probe = document.createElement('span');
  element.append(probe);
  const style = getComputedStyle(probe);
  const colours = {} as Record<(typeof COLOURS)[number], string>;
  for (const name of COLOURS) {
    probe.style.color = `var(--${name})`;
    colours[name] = style.color;
  }
  const palette = {
    ...colours,
    gridStrength: Number(style.getPropertyValue('--grid-strength')) || 0.2,
    bandStrength: Number(style.getPropertyValue('--band-strength')) || 0.1,
    font: style.fontFamily,
  };
  probe.remove();
  return palette;
}

/** Calls back when the editor's theme, or the reader's own choice of contrast, changes. */
export function onThemeChange(callback: () => void): void {
  const observer = new MutationObserver(callback);
  // The editor writes the colours on the root element and the kind of theme on the body.
  observer.observe(document.documentElement, { attributes: true, attributeFilter: ['style', 'class'] });
  observer.observe(document.body, { attributes: true, attributeFilter: ['class', 'data-vscode-theme-id'] });
  for (const query of ['(forced-colors: active)', '(prefers-color-scheme: dark)', '(prefers-contrast: more)']) {
    matchMedia(query).addEventListener('change', callback);
  }
}
