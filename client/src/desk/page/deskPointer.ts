/**
 * The pointer on the desk: a click, a drag, the wheel.
 */

export interface PointerActs {
  readonly onClick: (x: number, y: number, isWithShift: boolean) => void;
  /** Pixels since the press; the view is the one of that moment. */
  readonly onDrag: (dx: number) => void;
  readonly onDragStart: () => void;
  readonly onZoom: (factor: number, x: number) => void;
  readonly onScroll: (dx: number) => void;
}

/** Less than this is a click with an unsteady hand. */
const DRAG_PIXELS = 4;

export function followDeskPointer(element: HTMLElement, acts: PointerActs): void {
  let press: { readonly x: number; readonly y: number; isDrag: boolean } | null = null;
  const end = (): void => {
    press = null;
    element.classList.remove('dragging');
  };
  element.addEventListener('pointerdown', (event) => {
    if (event.button !== 0) return;
    element.focus();
    element.setPointerCapture(event.pointerId);
    press = { x: event.offsetX, y: event.offsetY, isDrag: false };
    acts.onDragStart();
  });
  element.addEventListener('pointermove', (event) => {
    if (press === null) return;
    const dx = event.offsetX - press.x;
    if (!press.isDrag && Math.abs(dx) < DRAG_PIXELS) return;
    press.isDrag = true;
    element.classList.add('dragging');
    acts.onDrag(dx);
  });
  element.addEventListener('pointerup', (event) => {
    const known = press;
    end();
    if (known !== null && !known.isDrag) acts.onClick(known.x, known.y, event.shiftKey);
  });
  element.addEventListener('pointercancel', end);
  element.addEventListener(
    'wheel',
    (event) => {
      // With Ctrl it is the editor's zoom.
      if (event.ctrlKey) return;
      event.preventDefault();
      const isAlong = event.shiftKey || Math.abs(event.deltaX) > Math.abs(event.deltaY);
      if (isAlong) acts.onScroll(event.deltaX === 0 ? event.deltaY : event.deltaX);
      else acts.onZoom(1.25 ** (event.deltaY / 100), event.offsetX);
    },
    { passive: false },
  );
}
