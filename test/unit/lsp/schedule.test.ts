import { describe, expect, it } from 'vitest';
import { createSchedule, type Schedule } from '../../../server/src/lsp/schedule.ts';

const URI = 'file:///cut.edl';

interface Clocked {
  readonly schedule: Schedule;
  readonly pass: (milliseconds: number) => void;
}

function makeSchedule(): Clocked {
  let now = 5000;
  const timers = { now: () => now, after: () => () => undefined, yieldNow: async () => undefined };
  return {
    schedule: createSchedule(timers),
    pass: (milliseconds) => {
      now += milliseconds;
    },
  };
}

describe('the pause before an audit', () => {
  it('is none on opening', () => {
    const { schedule } = makeSchedule();
    schedule.opened(URI);
    expect(schedule.waitFor(URI)).toBe(0);
  });

  it('is 150 ms after the first change, and starts again with the next', () => {
    const { schedule, pass } = makeSchedule();
    schedule.opened(URI);
    schedule.changed(URI);
    expect(schedule.waitFor(URI)).toBe(150);
    pass(100);
    schedule.changed(URI);
    expect(schedule.waitFor(URI)).toBe(150);
    pass(150);
    expect(schedule.waitFor(URI)).toBe(0);
  });

  it.each([
    [3, 100],
    [200, 400],
    [9000, 1000],
  ])('follows the cost: after an audit of %i ms it is %i ms', (cost, pause) => {
    const { schedule } = makeSchedule();
    schedule.opened(URI);
    schedule.ran(URI, cost);
    schedule.changed(URI);
    expect(schedule.waitFor(URI)).toBe(pause);
  });

  it('ends a second after the first change, however steadily a person types', () => {
    const { schedule, pass } = makeSchedule();
    schedule.opened(URI);
    for (let press = 0; press < 9; press += 1) {
      schedule.changed(URI);
      pass(110);
    }
    schedule.changed(URI);
    expect(schedule.waitFor(URI)).toBe(10);
  });

  it('is forgotten with the document', () => {
    const { schedule } = makeSchedule();
    schedule.opened(URI);
    schedule.changed(URI);
    schedule.closed(URI);
    expect(schedule.waitFor(URI)).toBe(0);
    schedule.ran(URI, 20);
    expect(schedule.waitFor(URI)).toBe(0);
  });
});
