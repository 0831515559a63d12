// Loaded before a program that Windows' Node runs under wine: it cannot open the pipes of this system as streams, and can read
// and write them.
'use strict';
const fs = require('node:fs');
const { Writable } = require('node:stream');

const as = (name, stream, fd) =>
  Object.defineProperty(process, name, {
    configurable: true,
    enumerable: true,
    value: Object.assign(stream, { fd }),
  });
for (const [fd, name] of [
  [1, 'stdout'],
  [2, 'stderr'],
]) {
  const write = (chunk, _, done) => {
    for (let at = 0; at < chunk.length;) at += fs.writeSync(fd, chunk, at);
    done();
  };
  as(name, new Writable({ write }), fd);
}
as('stdin', fs.createReadStream(null, { fd: 0, autoClose: false }), 0);
