/**
 * The alignment report of the shoot, laid out as a person would note it: one line for each file and pair.
 */

import { pictureNamed, soundNamed } from './place.ts';
import { CLAP_UNCERTAINTY_MS, FRAME_RATE, PAIRS, PICTURES, SAMPLE_RATE, SOUNDS } from './shoot.ts';

export function writeReport(): string {
  const pictures = PICTURES.map(
    ({ key, file, reel, start, frames }) =>
      `"${key}": { "names": ["${file}", "${reel}"], "rate": "${FRAME_RATE.join('/')}", "start": "${start}", "frames": ${frames} }`,
  );
  const sounds = SOUNDS.map(
    ({ key, file, reel, startSample, samples, claps }) =>
      `"${key}": { "names": ["${file}", "${reel}"], "sampleRate": ${SAMPLE_RATE}, "startSample": ${startSample}, "samples": ${samples}, "claps": [${claps.join(', ')}] }`,
  );
  const pairs = PAIRS.map(({ picture, sound, clap, driftPpm, note }) => {
    const at = `{ "frame": ${pictureNamed(picture).clapFrame}, "sample": ${soundNamed(sound).claps[clap - 1]} }`;
    const drift = driftPpm === '0' ? '' : ` "driftPpm": ${driftPpm},`;
    const uncertainty = `{ "early": ${CLAP_UNCERTAINTY_MS}, "late": ${CLAP_UNCERTAINTY_MS} }`;
    const remark = note === '' ? '' : `, "note": ${JSON.stringify(note)}`;
    return `{ "picture": "${picture}", "sound": "${sound}", "at": ${at},${drift} "uncertaintyMs": ${uncertainty}, "by": "clap", "clap": ${clap}${remark} }`;
  });
  const block = (lines: readonly string[]): string => lines.map((line) => `    ${line}`).join(',\n');
  return `{
  "alignment": 1,
  "pictures": {
${block(pictures)}
  },
  "sounds": {
${block(sounds)}
  },
  "pairs": [
${block(pairs)}
  ]
}
`;
}

export function writeSettings(reportFile: string): string {
  return `{
  "alignment": ["${reportFile}"],
  "tolerance": { "lead": "1ms", "lag": "1f" },
  "edlRate": "${FRAME_RATE.join('/')}"
}
`;
}
