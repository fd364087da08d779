/**
 * Buttons for everything that wheel and keys do, for those who use neither.
 */

import { button, make, setAttributes } from './elements.ts';
import type { Action } from './viewActions.ts';

const GROUPS: readonly {
  readonly title: string;
  readonly buttons: readonly (readonly [Action, label: string, name: string])[];
}[] = [
  {
    title: 'Time',
    buttons: [
      ['earlier', '←', 'Earlier'],
      ['zoom-out', '−', 'Show more record time'],
      ['zoom-in', '+', 'Show less record time'],
      ['later', '→', 'Later'],
    ],
  },
  {
    title: 'Lag',
    buttons: [
      ['pan-up', '↑', 'Towards lags'],
      ['zoom-lag-out', '−', 'Show larger lags'],
      ['zoom-lag-in', '+', 'Show smaller lags'],
      ['pan-down', '↓', 'Towards leads'],
    ],
  },
  {
    title: '',
    buttons: [
      ['fit', 'Fit', 'The whole record; lags far out stay at the edge'],
      ['whole', 'All in scale', 'The whole record with every lag in scale'],
      ['table', 'Table', 'All comparisons as a table'],
      ['export', 'Save SVG', 'Save what is shown as a picture'],
    ],
  },
];

export interface Toolbar {
  readonly element: HTMLElement;
  readonly show: (state: { readonly hasChart: boolean; readonly isTableOpen: boolean }) => void;
}

export function createToolbar(onAction: (action: Action) => void): Toolbar {
  const buttons = new Map<Action, HTMLButtonElement>();
  const groups = GROUPS.map(({ title, buttons: listed }) => {
    const made = listed.map(([action, label, name]) => {
      // A name that starts as the label does can be spoken by those who steer by voice.
      const isWord = label.length > 1;
      const element = button(label, () => onAction(action), isWord ? { title: name } : { title: name, 'aria-label': name });
      buttons.set(action, element);
      return element;
    });
    const heading = title === '' ? [] : [make('span', { class: 'group-title', 'aria-hidden': 'true' }, title)];
    return make('div', { class: 'group', role: 'group', 'aria-label': title === '' ? 'Chart' : title }, ...heading, ...made);
  });
  return {
    element: make('div', { class: 'toolbar' }, ...groups),
    show: ({ hasChart, isTableOpen }) => {
      for (const element of buttons.values()) element.disabled = !hasChart;
      const table = buttons.get('table');
      if (table !== undefined) setAttributes(table, { 'aria-pressed': String(isTableOpen) });
    },
  };
}
