// Loaded before the command line with `node --require`: its second thread dies when it hands over its first share.
'use strict';
const os = require('node:os');
const { isMainThread, parentPort } = require('node:worker_threads');

os.availableParallelism = () => 2;

const deaths = {
  throws() {
    throw new Error('out of memory');
  },
  ends: () => process.exit(0),
};

if (isMainThread) {
  // However busy the machine is, the second thread gets a share: the first waits for that before it takes another.
  const { add, load, wait } = Atomics;
  let taken;
  Atomics.add = (place, index, count) => {
    while (taken !== undefined && load(place, index) === taken) wait(place, index, taken, 20);
    const first = add(place, index, count);
    taken ??= first + count;
    return first;
  };
} else parentPort.postMessage = deaths[process.env.PLUGWARD_THREAD];
