/**
 * Pointer and wheel over the chart: hover, click, drag, zoom.
 *
 * The wheel zooms record time around the pointer; with Alt, or over the numbers at the left, it zooms the lags; with Shift, or
 * sideways, it moves along the record. A pinch on a touchpad comes as a wheel with Ctrl and zooms both. A press that hardly moves is
 * a click, any other a drag.
 */

export interface PointerEvents {
  /** Place within the chart. */
  readonly onHover: (x: number, y: number) => void;
  readonly onLeave: () => void;
  readonly onClick: (x: number, y: number, isWithShift: boolean) => void;
  /** Pixels the pointer went. */
  readonly onDrag: (dx: number, dy: number) => void;
  /** Factors by which more (above 1) or less is shown, around a place. */
  readonly onZoom: (record: number, lag: number, x: number, y: number) => void;
  readonly onScroll: (dx: number) => void;
  /** Width of the numbers at the left. */
  readonly axisWidth: () => number;
}

const CLICK_REACH = 4;
/** One notch of a wheel, 100 pixels on most systems, shows a quarter more. */
const ZOOM_PER_PIXEL = Math.log(1.25) / 100;
const LINE_PIXELS = 33;

export function followPointer(element: HTMLElement, events: PointerEvents): void {
  let pressed: { x: number; y: number; lastX: number; lastY: number; isDrag: boolean } | null = null;
  const placeOf = (event: MouseEvent): readonly [number, number] => {
    const box = element.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  };

  element.addEventListener('pointerdown', (event) => {
    if (event.button !== 0) return;
    const [x, y] = placeOf(event);
    pressed = { x, y, lastX: x, lastY: y, isDrag: false };
    element.setPointerCapture(event.pointerId);
  });
  element.addEventListener('pointermove', (event) => {
    const [x, y] = placeOf(event);
    if (pressed === null) {
      events.onHover(x, y);
      return;
    }
    if (!pressed.isDrag && Math.hypot(x - pressed.x, y - pressed.y) < CLICK_REACH) return;
    pressed.isDrag = true;
    element.classList.add('dragging');
    events.onDrag(x - pressed.lastX, y - pressed.lastY);
    pressed.lastX = x;
    pressed.lastY = y;
  });
  element.addEventListener('pointerup', (event) => {
    const [x, y] = placeOf(event);
    if (pressed !== null && !pressed.isDrag) events.onClick(x, y, event.shiftKey);
    pressed = null;
    element.classList.remove('dragging');
  });
  element.addEventListener('pointercancel', () => {
    pressed = null;
    element.classList.remove('dragging');
  });
  element.addEventListener('pointerleave', () => {
    if (pressed === null) events.onLeave();
  });
  element.addEventListener(
    'wheel',
    (event) => {
      event.preventDefault();
      const [x, y] = placeOf(event);
      const unit =
        event.deltaMode === WheelEvent.DOM_DELTA_LINE ? LINE_PIXELS : event.deltaMode === WheelEvent.DOM_DELTA_PAGE ? 400 : 1;
      const down = event.deltaY * unit;
      const sideways = event.deltaX * unit;
      if (event.ctrlKey) {
        // Pinches come in small steps.
        const factor = Math.exp(down * ZOOM_PER_PIXEL * 4);
        events.onZoom(factor, factor, x, y);
      } else if (event.shiftKey || Math.abs(sideways) > Math.abs(down)) events.onScroll(sideways === 0 ? down : sideways);
      else {
        const factor = Math.exp(down * ZOOM_PER_PIXEL);
        const isLag = event.altKey || x < events.axisWidth();
        events.onZoom(isLag ? 1 : factor, isLag ? factor : 1, x, y);
      }
    },
    { passive: false },
  );
}
