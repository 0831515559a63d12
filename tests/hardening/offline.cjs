// Loaded before the program with `node --require`: whatever would reach out of this process (a network, a name server,
// another program), or make code out of text, is written down in the file of PLUGWARD_OFFLINE and throws.
'use strict';
const { appendFileSync } = require('node:fs');

// So that a test can tell that it was here.
appendFileSync(`${process.env.PLUGWARD_OFFLINE}.guarded`, `${process.argv[1]}\n`);

function forbid(owner, names, what) {
  for (const name of names) {
    owner[name] = () => {
      appendFileSync(process.env.PLUGWARD_OFFLINE, `${what}.${name}\n${new Error().stack}\n`);
      throw new Error(`${what}.${name} is not allowed here`);
    };
  }
}

forbid(require('node:net'), ['connect', 'createConnection', 'createServer'], 'net');
forbid(require('node:net').Socket.prototype, ['connect'], 'net.Socket');
forbid(require('node:net').Server.prototype, ['listen'], 'net.Server');
forbid(require('node:tls'), ['connect', 'createServer'], 'tls');
for (const name of ['http', 'https'])
  forbid(require(`node:${name}`), ['request', 'get', 'createServer'], name);
forbid(require('node:http2'), ['connect', 'createServer', 'createSecureServer'], 'http2');
forbid(require('node:dgram'), ['createSocket'], 'dgram');
forbid(require('node:dns'), ['lookup', 'resolve'], 'dns');
forbid(require('node:dns/promises'), ['lookup', 'resolve'], 'dns/promises');
forbid(
  require('node:child_process'),
  ['spawn', 'spawnSync', 'exec', 'execSync', 'execFile', 'fork'],
  'child_process',
);
forbid(globalThis, ['fetch', 'WebSocket', 'EventSource', 'eval'], 'global');

const refuse = () => {
  appendFileSync(process.env.PLUGWARD_OFFLINE, `Function\n${new Error().stack}\n`);
  throw new Error('Function is not allowed here');
};
// A proxy, so that `instanceof` and the methods of functions are as before.
globalThis.Function = new Proxy(Function, { apply: refuse, construct: refuse });
Function.prototype.constructor = Function;
