/**
 * The page of the clap desk: what comes in and what a person does changes the state, and each state is shown once a frame.
 *
 * It runs in a sandbox without network or Node. Sound comes as ranges that the language server read, camera files as ranges of bytes
 * that the editor read, or out of a file that the page was given; the page takes the camera file apart and lets the browser decode it.
 */

import '../../chart/page/chart.css';
import './desk.css';
import { nominalFramesPerSecond } from '../../../../server/src/core/time/rate.ts';
import { parseDecimal, rational, toNumber } from '../../../../server/src/core/time/rational.ts';
import { type FrameReading, isShutterAngle } from '../../../../server/src/sound/clapLog/contactInterval.ts';
import { parseFrameEntry } from '../../../../server/src/sound/desk/frameEntry.ts';
import { button, make, setText } from '../../chart/page/elements.ts';
import type { Wanted } from '../deskMessages.ts';
import { createClapList } from './clapList.ts';
import { createControls } from './controls.ts';
import { createDeskFiles } from './deskFiles.ts';
import { createDeskHost } from './deskHost.ts';
import { type DeskAction, deskAction, KEY_LIST } from './deskKeys.ts';
import { frameAt, sampleAt, xOf } from './deskLayout.ts';
import { createDeskPainter } from './deskPainter.ts';
import { followDeskPointer } from './deskPointer.ts';
import { createDeskReadout, summaryOf, whyNotWritten } from './deskReadout.ts';
import {
  type ClapItem,
  changeOf,
  chosenClap,
  clapSampleIn,
  clapsOf,
  type DeskState,
  edgeSampleIn,
  gridOf,
  rememberedChoice,
  type Subject,
  sameSubject,
  stepFrame,
  withAnswer,
  withClap,
  withEdgeAt,
  withEdgeMoved,
  withFrame,
  withNudge,
  withoutChoice,
  withReading,
  withRemembered,
} from './deskState.ts';
import { createDeskStore } from './deskStore.ts';
import { createCanvasPlace, createMonitors, createPaletteSource, numberOf } from './deskSurface.ts';
import { type DeskView, moved, showing, viewAround, wholeView, zoomed } from './deskView.ts';
import { createGivenFiles } from './givenFiles.ts';
import { createPlaying } from './playing.ts';
import { createSubjectBar } from './subjectBar.ts';

/** Around the clap: eight or nine frames of picture. */
const FIT_SECONDS = 0.36;
const NOTHING_WANTED: Wanted = { pair: null, picture: null, sound: null };

const given = createGivenFiles();
const host = createDeskHost(given);
let remembered = host.memory();
/** The editor reaches no disk. */
let isGivenFiles = false;
const uri = document.body.dataset['uri'] ?? remembered?.uri ?? '';

const store = createDeskStore(showState);
const files = createDeskFiles({ store, host, given, known: remembered?.files ?? {}, viewNow });
const playing = createPlaying(store, host, files);

const subjectBar = createSubjectBar({
  onSubject: (wanted) => {
    const state = store.get();
    if (state.answer !== null) take(withAnswer(state, state.answer, wanted));
  },
  onChannel: (channel) => {
    store.update({ channel, detail: null, overview: null });
    void files.loadOverview();
  },
  onChooseFile: (role) => {
    void files.choose(role, isGivenFiles).then((isChosen) => {
      if (isChosen) startFiles();
    });
  },
  onOpenReport: () => host.send({ kind: 'open' }),
});
const chart = make('div', { class: 'chart', id: 'bench', tabindex: 0, role: 'application', 'aria-roledescription': 'clap desk' });
const overview = make('div', { class: 'overview', 'aria-hidden': 'true' });
const bench = createCanvasPlace(chart, store.requestFrame);
const whole = createCanvasPlace(overview, store.requestFrame);
const palette = createPaletteSource(chart, store.requestFrame);
const monitors = createMonitors(palette);
const hint = make('p', { class: 'hint', id: 'hint' });
const painter = createDeskPainter({ files, playing, bench, whole, palette, monitors, hint });
const controls = createControls({
  onAction: act,
  onFrameTyped: typeFrame,
  onReading: chooseReading,
  onHeard: playing.setHeard,
  onLoop: playing.setLooping,
});
const clapList = createClapList({
  onPick: pickClap,
  onStop: files.stopSearch,
  onListenToAll: () => void files.searchAll(),
});
const readout = createDeskReadout(
  () => void write(),
  () => act({ kind: 'reset' }),
);
const HOW = [
  'The wave is the recording. The lines are the starts of the camera’s frames at the present offset; the band shows within which frames the hands met. A full triangle is a clap, a hollow one a sharp sound that was refused.',
  'Pick the first frame with the hands together: they met between the frame before and this one. The edge of the clap is put on the later end, so that the sound can lag but not lead.',
];
const MOUSE =
  'Click a picture or a cell below the wave to pick that frame, a triangle to take that clap; Shift+click the wave to put the edge there. Drag to move, wheel to zoom, Shift+wheel to move along. Click the overview to go there.';
const keys = make(
  'details',
  {},
  make('summary', {}, 'How to read it, keys and mouse'),
  ...HOW.map((words) => make('p', {}, words)),
  make('dl', { id: 'keys' }, ...KEY_LIST.flatMap(([key, what]) => [make('dt', {}, key), make('dd', {}, what)])),
  make('p', {}, MOUSE),
);
chart.setAttribute('aria-describedby', 'hint keys');
const emptyWords = make('p', { role: 'status' });
const emptyOpen = button('Show the Report', () => host.send({ kind: 'open' }));
const empty = make('div', { class: 'empty' }, emptyWords, emptyOpen);
const below = make('div', { class: 'left' }, controls.element, clapList.element);
const body = make(
  'div',
  { class: 'desk-body' },
  overview,
  chart,
  readout.element,
  make('div', { class: 'below' }, below, monitors.element),
  make('div', { class: 'foot' }, keys, hint),
);
body.hidden = true;
document.body.append(make('main', { class: 'page desk' }, subjectBar.element, empty, body));

function showState(): void {
  const state = store.get();
  const reason = emptyReason(state);
  const isFirstSight = body.hidden && reason === null;
  empty.hidden = reason === null;
  body.hidden = reason !== null;
  // Keys work at once; whoever has moved on already is left where they are.
  if (isFirstSight && document.activeElement === document.body) chart.focus({ preventScroll: true });
  subjectBar.element.hidden = state.subject === null;
  if (reason !== null) {
    setText(emptyWords, reason.words);
    emptyOpen.hidden = !reason.canOpen;
  }
  subjectBar.show(state);
  controls.show(state, playing.state());
  clapList.show(state, chosenClap(state));
  readout.show(state);
  const view = viewNow();
  if (reason === null && view !== null && state.subject !== null) painter.paint(state, state.subject, view);
  remember(state);
}

function emptyReason({
  notice,
  answer,
  recording,
  soundWords,
}: DeskState): { readonly words: string; readonly canOpen: boolean } | null {
  if (notice !== null) return notice;
  if (answer === null) return { words: 'Reading the report…', canOpen: false };
  if (answer.report.empty !== null) return { words: answer.report.empty, canOpen: true };
  if (recording !== null) return null;
  return { words: soundWords === '' ? 'Looking for the recording…' : 'There is no recording to look at.', canOpen: false };
}

function viewNow(): DeskView | null {
  return store.get().view ?? fittedView();
}

function fittedView(): DeskView | null {
  const state = store.get();
  if (state.recording === null) return null;
  const { sampleRate, sampleCount } = state.recording.facts;
  const sample = numberOf(clapSampleIn(state) ?? gridOf(state)?.sample ?? null) ?? 0;
  return viewAround(sample, FIT_SECONDS, sampleRate, sampleCount);
}

/** Another state by an act of the person: what plays stops, and what it comes to is said. */
function become(next: DeskState): void {
  if (next === store.get()) return;
  playing.stop();
  store.set(next);
  readout.say(summaryOf(next));
}

/** Another pair, or another version of the report. */
function take(next: DeskState): void {
  const before = store.get().subject;
  const after = next.subject;
  store.set(next);
  if (filesOf(before) !== filesOf(after)) startFiles();
  else if (before !== null && after !== null && !sameSubject(before, after)) store.update({ view: null });
}

/** What decides which files are looked at, and how they are read. */
function filesOf(subject: Subject | null): string {
  return subject === null
    ? ''
    : JSON.stringify([subject.picture, subject.sound.key, subject.sound.names, subject.sound.sampleRate]);
}

function startFiles(): void {
  playing.stop();
  controls.complain('frame', '');
  files.start(() => {
    if (remembered === null) return;
    store.set({ ...withRemembered(store.get(), remembered.choice), view: remembered.view });
    remembered = null;
  });
}

function remember(state: DeskState): void {
  // What an earlier page left is kept until it was taken up.
  if (state.subject === null || (remembered !== null && state.recording === null)) return;
  host.remember({
    uri,
    pair: state.subject.pairIndex,
    picture: state.subject.picture.key,
    sound: state.subject.sound.key,
    files: files.chosen(),
    view: state.view,
    choice: rememberedChoice(state),
  });
}

function look(view: DeskView | null): void {
  store.update({ view });
}

function act(action: DeskAction): void {
  const state = store.get();
  const view = viewNow();
  if (state.recording === null || view === null) return;
  const { sampleCount } = state.recording.facts;
  const span = view.end - view.start;
  switch (action.kind) {
    case 'frame':
      become(stepFrame(state, action.frames));
      break;
    case 'second':
      if (state.subject !== null) become(stepFrame(state, action.seconds * nominalFramesPerSecond(state.subject.rate)));
      break;
    case 'nudge':
      become(withNudge(state, rational(action.tenths, 10)));
      break;
    case 'edge':
      become(withEdgeMoved(state, action.samples));
      break;
    case 'clap':
      nextClap(state, action.step);
      break;
    case 'edge-here':
      become(withEdgeAt(state, view.start + span / 2, span / Math.max(1, bench.size().width)));
      break;
    case 'zoom':
      look(zoomed(view, action.factor, zoomShare(state, view), sampleCount));
      break;
    case 'scroll':
      look(moved(view, action.share, sampleCount));
      break;
    case 'fit':
      look(fittedView());
      break;
    case 'whole':
      look(wholeView(sampleCount));
      break;
    case 'play':
      playing.toggle();
      break;
    case 'stop':
      playing.stop();
      break;
    case 'type':
      controls.typeFrame();
      break;
    case 'reset':
      become(withoutChoice(state));
      look(null);
      break;
    case 'write':
      void write();
      break;
  }
}

/** Zooming by keys keeps the edge where it is while it is seen. */
function zoomShare(state: DeskState, view: DeskView): number {
  const edge = numberOf(edgeSampleIn(state));
  if (edge === null) return 0.5;
  const share = (edge - view.start) / (view.end - view.start);
  return share >= 0 && share <= 1 ? share : 0.5;
}

function pickClap(clap: ClapItem): void {
  become(withClap(store.get(), clap));
  const view = viewNow();
  const { recording } = store.get();
  if (view !== null && recording !== null) look(showing(view, toNumber(clap.sample), recording.facts.sampleCount));
}

function nextClap(state: DeskState, step: 1 | -1): void {
  const claps = clapsOf(state).filter(({ isClap }) => isClap);
  const at = edgeSampleIn(state);
  // The same clap as the report and as the finder tell it may lie a part of a sample apart.
  const others = claps.filter(({ sample }) => at === null || (toNumber(sample) - toNumber(at)) * step >= 1);
  const found = step > 0 ? others[0] : others.at(-1);
  if (found === undefined) readout.say('There is no clap further on.');
  else pickClap(found);
}

function typeFrame(text: string): void {
  const { subject } = store.get();
  if (subject === null) return;
  const entry = parseFrameEntry(text, subject.counting);
  controls.complain('frame', entry.ok ? '' : entry.words);
  if (!entry.ok) return;
  become(withFrame(store.get(), entry.frame));
  chart.focus();
}

function chooseReading(reading: FrameReading, shutter: string): void {
  const text = shutter.trim();
  const angle = text === '' ? null : parseDecimal(text);
  const isWrong = text !== '' && (angle === null || !isShutterAngle(angle));
  controls.complain('shutter', isWrong ? 'An angle above 0, up to 360 degrees.' : '');
  become(withReading(store.get(), reading, isWrong ? null : angle));
}

async function write(): Promise<void> {
  const state = store.get();
  const why = whyNotWritten(state);
  const result = changeOf(state);
  if (why !== null || state.answer === null || 'why' in result) {
    readout.say(why ?? '');
    return;
  }
  const answer = await host.ask('write', { version: state.answer.version, change: result.change }).answer;
  const { isWritten, words } = answer ?? { isWritten: false, words: 'Nothing was written: the editor gave no answer.' };
  // What was chosen stands in the report now, and comes back as the report's own.
  const next = isWritten ? withoutChoice(store.get()) : store.get();
  store.set({ ...next, written: words });
}

/** What a click on the desk means. */
function click(x: number, y: number, isWithShift: boolean): void {
  const drawn = painter.drawn();
  if (drawn === null) return;
  const state = store.get();
  const { layout, view, grid, seen } = drawn;
  if (y >= layout.numbers.top) {
    if (grid === null || seen === null) return;
    const frame = frameAt(x, grid, view, layout.width);
    // A picture stands for several frames where there is no room for each.
    const isPicture = files.camera().hasPicture && y >= layout.frames.top;
    const rest = isPicture ? ((frame % seen.pictureStep) + seen.pictureStep) % seen.pictureStep : 0;
    become(withFrame(state, rational(frame - rest)));
    return;
  }
  if (isWithShift) {
    become(withEdgeAt(state, sampleAt(x, view, layout.width), (view.end - view.start) / layout.width));
    return;
  }
  const near = clapsOf(state).find(({ sample }) => Math.abs(xOf(toNumber(sample), view, layout.width) - x) <= 8);
  if (near !== undefined && y < layout.wave.top + 18) pickClap(near);
}

/** Another view made of the present one, by an act of the pointer. */
function lookAfter(change: (view: DeskView, sampleCount: number, width: number) => DeskView): void {
  const view = viewNow();
  const { recording } = store.get();
  if (view !== null && recording !== null) look(change(view, recording.facts.sampleCount, Math.max(1, bench.size().width)));
}

chart.addEventListener('keydown', (event) => {
  const action = deskAction(event);
  if (action === null) return;
  event.preventDefault();
  act(action);
});
let pressed: DeskView | null = null;
followDeskPointer(chart, {
  onClick: click,
  onDragStart: () => {
    pressed = viewNow();
  },
  onDrag: (dx) => lookAfter((view, sampleCount, width) => moved(pressed ?? view, -dx / width, sampleCount)),
  onZoom: (factor, x) => lookAfter((view, sampleCount, width) => zoomed(view, factor, x / width, sampleCount)),
  onScroll: (dx) => lookAfter((view, sampleCount, width) => moved(view, dx / width, sampleCount)),
});
overview.addEventListener('click', ({ offsetX }) => {
  lookAfter((view, sampleCount) => {
    const middle = (offsetX / Math.max(1, whole.size().width)) * sampleCount;
    const half = (view.end - view.start) / 2;
    return moved({ start: middle - half, end: middle + half }, 0, sampleCount);
  });
});

host.onMessage((message) => {
  const state = store.get();
  if (message.kind === 'notice') {
    store.update({ notice: { words: message.words, canOpen: message.canOpen } });
    return;
  }
  isGivenFiles = message.isGivenFiles;
  // What a command asks for goes before what an earlier page left.
  if (message.wanted !== null) remembered = null;
  const first =
    remembered === null ? NOTHING_WANTED : { pair: remembered.pair, picture: remembered.picture, sound: remembered.sound };
  take(withAnswer(state, message.answer, message.wanted ?? (state.answer === null ? first : null)));
});
store.requestFrame();
host.send({ kind: 'ready' });
