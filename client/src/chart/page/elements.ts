/**
 * Makes elements with their attributes, texts and listeners in one go.
 *
 * Text is always set as text: names of clips come from outside and are never read as markup.
 */

type Attributes = Readonly<Record<string, string | number | boolean | null>>;

export function make<Name extends keyof HTMLElementTagNameMap>(
  name: Name,
  attributes: Attributes = {},
  ...children: readonly (Node | string)[]
): HTMLElementTagNameMap[Name] {
  const element = document.createElement(name);
  setAttributes(element, attributes);
  element.append(...children);
  return element;
}

/** `true` sets an attribute without a value; `false` and null leave it out. */
export function setAttributes(element: Element, attributes: Attributes): void {
  for (const [name, value] of Object.entries(attributes)) {
    if (value === false || value === null) element.removeAttribute(name);
    else element.setAttribute(name, value === true ? '' : String(value));
  }
}

export function button(label: string, onClick: () => void, attributes: Attributes = {}): HTMLButtonElement {
  const element = make('button', { type: 'button', ...attributes }, label);
  element.addEventListener('click', onClick);
  return element;
}

/** Sets a text only when it is another one, so that nothing is read out twice and no selection is lost. */
export function setText(element: Element, text: string): void {
  if (element.textContent !== text) element.textContent = text;
}
