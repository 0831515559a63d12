// Loaded before the server with `node --require`: on SIGUSR2 it collects garbage and appends the bytes of the heap in use to
// the file of PLUGWARD_HEAP.
'use strict';
const { appendFileSync } = require('node:fs');
const { setFlagsFromString } = require('node:v8');
const { runInNewContext } = require('node:vm');

setFlagsFromString('--expose-gc');
const collect = runInNewContext('gc');

process.on('SIGUSR2', () => {
  // Twice, since what a finalizer or an ephemeron lets go of is collected by the next.
  collect();
  collect();
  appendFileSync(process.env.PLUGWARD_HEAP, `${process.memoryUsage().heapUsed}\n`);
});
