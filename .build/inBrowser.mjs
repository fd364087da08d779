/**
 * Node's timers for a library that asks for them, in a bundle for browsers: putting off a call to the next turn. What it asks for by the
 * name of events, the package of that name has.
 */

const TIMERS = 'export const setImmediate = (callback) => setTimeout(callback, 0);';

export const inBrowser = {
  name: 'in-browser',
  setup(building) {
    building.onResolve({ filter: /^timers$/ }, ({ path }) => ({ path, namespace: 'in-browser' }));
    building.onLoad({ filter: /.*/, namespace: 'in-browser' }, () => ({ contents: TIMERS }));
  },
};
