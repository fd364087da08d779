/**
 * The speed an M2 line gives an event, as an exact ratio.
 *
 * M2 says frames of source per second, usually rounded to a tenth. Two conventions are in use (measured on public lists, and
 * an open question in a public adapter): in the first the source columns span what is really used, naming the last frame
 * shown plus one: span = floor((record - 1) x speed) + 1. In the second they span as much as the record, and only M2 tells.
 * Either way source time runs at `speed` from the source in.
 *
 * The ratio used is, in this order:
 * 1. a simple ratio (denominator up to 10: 2, 1/2, 4/3 ...) that rounds to what M2 says and gives exactly this source span;
 * 2. what M2 says, where the source span allows it;
 * 3. the middle of the ratios that both M2's rounding and the source span allow;
 * 4. a simple ratio that rounds to what M2 says, when the source span tells nothing;
 * 5. what M2 says.
 */

import { nominalFramesPerSecond, type Rate } from '../../time/rate.ts';
import {
  absolute,
  add,
  ceiling,
  compare,
  divide,
  floor,
  isZero,
  maximum,
  minimum,
  multiply,
  negate,
  parseDecimal,
  type Rational,
  rational,
  reduce,
  sign,
  subtract,
} from '../../time/rational.ts';

/** `scaled` and `unscaled` are the two conventions above; `neither` fits none; `freeze` needs none. */
type SpeedConvention = 'normal' | 'freeze' | 'scaled' | 'unscaled' | 'neither';

export interface EventSpeed {
  readonly scalar: Rational;
  readonly convention: SpeedConvention;
}

const LARGEST_SIMPLE_DENOMINATOR = 10;

/** Lengths in frames, not negative. `speed` as written: `047.6`, `-024.0`; null when it is no number. */
export function speedOfMotion(speed: string, rate: Rate, sourceFrames: number, recordFrames: number): EventSpeed | null {
  const written = parseDecimal(speed.trim());
  if (written === null) return null;
  if (isZero(written)) return { scalar: rational(0), convention: 'freeze' };
  const size = absolute(written);
  const slack = rational(1, 2n * 10n ** BigInt(decimalPlaces(speed)));
  const withSign = (scalar: Rational): Rational => (sign(written) < 0 ? negate(scalar) : scalar);
  // 024.0 and 023.98 both mean normal speed at 24000/1001.
  const nominal = rational(nominalFramesPerSecond(rate));
  if (compare(absolute(subtract(size, rate)), slack) <= 0 || compare(size, nominal) === 0) {
    const fits = sourceFrames === recordFrames;
    return { scalar: withSign(rational(1)), convention: sign(written) > 0 ? 'normal' : fits ? 'scaled' : 'neither' };
  }
  const said = divide(size, nominal);
  const low = divide(subtract(size, slack), nominal);
  const high = divide(add(size, slack), nominal);
  const fitsScaled = isSpanOf(sourceFrames, recordFrames, low, high);
  const convention = fitsScaled ? 'scaled' : sourceFrames === recordFrames ? 'unscaled' : 'neither';
  const scalar = convention === 'scaled' ? scaledRatio(said, low, high, sourceFrames, recordFrames) : null;
  return { scalar: withSign(reduce(scalar ?? simpleRatio(low, high, () => true) ?? said)), convention };
}

/** True when the source span is what some speed in `low..high` needs, give or take the frame by which writers differ. */
function isSpanOf(sourceFrames: number, recordFrames: number, low: Rational, high: Rational): boolean {
  const steps = rational(Math.max(0, recordFrames - 1));
  return floor(multiply(steps, low)) <= BigInt(sourceFrames) && BigInt(sourceFrames) <= floor(multiply(steps, high)) + 2n;
}

function scaledRatio(said: Rational, low: Rational, high: Rational, sourceFrames: number, recordFrames: number): Rational | null {
  const givesSpan = (ratio: Rational): boolean =>
    floor(multiply(rational(Math.max(0, recordFrames - 1)), ratio)) + 1n === BigInt(sourceFrames) ||
    compare(multiply(rational(recordFrames), ratio), rational(sourceFrames)) === 0;
  const simple = simpleRatio(low, high, givesSpan);
  if (simple !== null) return simple;
  if (givesSpan(said) || recordFrames < 2) return said;
  const least = maximum(low, rational(sourceFrames - 1, recordFrames - 1));
  const most = minimum(high, rational(sourceFrames, recordFrames - 1));
  return compare(least, most) < 0 ? divide(add(least, most), rational(2)) : said;
}

/** The ratio with the smallest denominator in `low..high` that `isWanted`; null when none up to the limit. */
function simpleRatio(low: Rational, high: Rational, isWanted: (ratio: Rational) => boolean): Rational | null {
  for (let denominator = 1; denominator <= LARGEST_SIMPLE_DENOMINATOR; denominator += 1) {
    const numerator = ceiling(multiply(low, rational(denominator)));
    const ratio = rational(numerator, denominator);
    if (numerator > 0n && compare(ratio, high) <= 0 && isWanted(ratio)) return ratio;
  }
  return null;
}

function decimalPlaces(text: string): number {
  const point = text.indexOf('.');
  return point === -1 ? 0 : text.trim().length - point - 1;
}
