/**
 * The part of the demo that begins before the report: recordings are invented, measured, and a small cut is audited against what was
 * measured.
 *
 * The cut has camera A's sound where its clap says and camera B's two frames early. Measuring knows neither; that the audit finds the
 * one and not the other is what this shows. Everything is written into a temporary folder and removed.
 */

import { mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { FRAME_RATE, inventRecordings, SAMPLE_RATE, waveFile } from './inventRecordings.mjs';

const [FRAMES, SECONDS] = FRAME_RATE;
const SAMPLES_PER_FRAME = (SAMPLE_RATE * SECONDS) / FRAMES;
const CLIP_FRAMES = 96;
const LEAD_FRAMES = 2;

/** `afterclap(words, options)` runs the program; `expectExit(step, result, ...codes)` ends the demo when it did not go as it should. */
export function measureDemo({ afterclap, expectExit, title }) {
  const folder = mkdtempSync(join(tmpdir(), 'afterclap-measure-'));
  try {
    const shoot = inventRecordings();
    // The frame during which the hands meet, as somebody would read it off the picture.
    const seenInA = Math.floor((shoot.claps[0] - shoot.startA) / SAMPLES_PER_FRAME);
    const seenInB = Math.floor((shoot.claps[1] - shoot.startB) / SAMPLES_PER_FRAME);
    writeFileSync(join(folder, 'DECK_0020.wav'), waveFile(shoot.deck));
    writeFileSync(join(folder, 'CAM_B_0020.wav'), waveFile(shoot.cameraB));
    writeFileSync(
      join(folder, 'claps.csv'),
      `picture,rate,clap frame\nCAM_A_0020.mov,23.976,${seenInA}\nCAM_B_0020.wav,23.976,${seenInB}\n`,
    );

    title('4. From recordings to a report: afterclap measure . --clap-log claps.csv --microphone-distance 3m');
    console.log(`Recordings of a second morning, computed just now. Camera A recorded no sound: somebody wrote down in which frame the hands meet.
Camera B heard the scene from three metres away.
`);
    const words = ['measure', '.', '--clap-log', 'claps.csv', '--microphone-distance', `${shoot.cameraBMetres}m`];
    const measured = afterclap([...words, '--out', 'day2.alignment.json', '--plots', 'plots'], { cwd: folder });
    expectExit('measuring', measured, 0);
    console.log(measured.stdout.trimEnd());
    console.log(`Drawn: ${readdirSync(join(folder, 'plots')).join(', ')}`);

    title('5. A cut against the fresh report: afterclap check cut.timeline.xml');
    writeFileSync(join(folder, 'cut.timeline.xml'), cut(shoot, seenInA));
    const checked = afterclap(['check', 'cut.timeline.xml'], { cwd: folder });
    expectExit('checking against the fresh report', checked, 1);
    console.log(checked.stdout.trimEnd());
    const { pairs } = JSON.parse(afterclap(['check', '--format', 'json', 'cut.timeline.xml'], { cwd: folder }).stdout).files[0];
    const verdicts = pairs.map(({ verdict }) => verdict).join(', ');
    // Known beforehand, since the recordings are computed.
    expectExit(`the audit of the fresh report (${verdicts})`, { status: verdicts === 'in, leads' ? 0 : verdicts }, 0);
    console.log(`
Camera A is in: its sound lies where the clap was seen. Camera B's sound was put ${LEAD_FRAMES} frames early, and it says so.`);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** Both cameras, one after the other, each over the recorder. Entry points count from the first frame or sample of the file. */
function cut({ claps, startB }, seenInA) {
  const [inA, inB] = [80, 130];
  // Camera A: the clap at the end of the frame in which it was seen. Camera B: where it truly is, less two frames.
  const soundOfA = claps[0] + (inA - seenInA - 1) * SAMPLES_PER_FRAME;
  const soundOfB = startB + (inB + LEAD_FRAMES) * SAMPLES_PER_FRAME;
  const length = Math.round(CLIP_FRAMES * SAMPLES_PER_FRAME);
  return `<?xml version="1.0" encoding="UTF-8"?>
<Timeline xmlns="urn:afterclap:timeline:1">
  <ContentTitle>Millrace, a second morning</ContentTitle>
  <EditRate>${FRAMES} ${SECONDS}</EditRate>
  <MediaReferences>
    ${media('cam-a', 'CAM_A_0020.mov', `${FRAMES} ${SECONDS}`)}
    ${media('cam-b', 'CAM_B_0020.mov', `${FRAMES} ${SECONDS}`)}
    ${media('deck', 'DECK_0020.wav', `${SAMPLE_RATE} 1`)}
  </MediaReferences>
  <Stack>
    <Track kind="Video">
      ${clip('cam-a', '', inA, CLIP_FRAMES)}
      ${clip('cam-b', '', inB, CLIP_FRAMES)}
    </Track>
    <Track kind="Audio">
      ${clip('deck', `<EditRate>${SAMPLE_RATE} 1</EditRate>`, Math.round(soundOfA), length)}
      ${clip('deck', `<EditRate>${SAMPLE_RATE} 1</EditRate>`, Math.round(soundOfB), length)}
    </Track>
  </Stack>
</Timeline>
`;
}

function media(id, file, rate) {
  return `<ExternalReference><Id>${id}</Id><TargetUrl>${file}</TargetUrl><EditRate>${rate}</EditRate></ExternalReference>`;
}

function clip(id, rate, entry, length) {
  return `<Clip><TrackFileId>${id}</TrackFileId>${rate}<EntryPoint>${entry}</EntryPoint><SourceDuration>${length}</SourceDuration></Clip>`;
}
