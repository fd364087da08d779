/**
 * Which files a clap log means: people write `CAM_A_0007.mov`, `cam_a_0007`, or just `A` for a camera whose file is elsewhere.
 */

import { comparableName, withoutExtension } from '../../core/alignment/mediaNames.ts';
import { nearestName } from '../../core/text/nearestName.ts';
import { nameOf } from '../paths.ts';

/** The files of `paths` that `written` names: by whole name; where none has it, by name without its ending. */
export function filesNamed<File extends { readonly path: string }>(written: string, files: readonly File[]): readonly File[] {
  const wanted = comparableName(nameOf(written));
  const whole = files.filter(({ path }) => comparableName(nameOf(path)) === wanted);
  if (whole.length > 0) return withinFolder(written, whole);
  const stem = withoutExtension(wanted);
  return withinFolder(
    written,
    files.filter(({ path }) => withoutExtension(comparableName(nameOf(path))) === stem),
  );
}

/** `, did you mean "DECK_0012.wav"?` or nothing. */
export function likelyFile(written: string, files: readonly { readonly path: string }[]): string {
  const nearest = nearestName(
    nameOf(written),
    files.map(({ path }) => nameOf(path)),
  );
  return nearest === null ? '' : `; did you mean "${nearest}"?`;
}

/** Files of one name in several folders are told apart by the folders that the log writes. */
function withinFolder<File extends { readonly path: string }>(written: string, files: readonly File[]): readonly File[] {
  if (files.length < 2 || !/[\\/]/.test(written)) return files;
  const ending = comparableName(written.replaceAll('\\', '/'));
  const inside = files.filter(({ path }) => `/${comparableName(path.replaceAll('\\', '/'))}`.endsWith(`/${ending}`));
  return inside.length > 0 ? inside : files;
}
