// Loaded before the program with `node --require`: calls to the disk that fail as PLUGWARD_FAILS says, as
// `[{ "call": "rename", "code": "EBUSY", "times": 3, "of": "part of a path" }]`; without `times` for ever, without `of` for
// every path. The call `listing` calls all entries links, as listings of synchronised folders do.
'use strict';
const fs = require('node:fs');
const promises = require('node:fs/promises');

const wrap = (owner, name, made) => {
  const before = owner[name];
  if (before) owner[name] = Object.assign(made(before.bind(owner)), before);
};
for (const { call, code, times = Infinity, of = '' } of JSON.parse(process.env.PLUGWARD_FAILS)) {
  if (call === 'listing') {
    const asLinks = (entries, options) => {
      if (options?.withFileTypes)
        for (const entry of entries) {
          entry.isFile = entry.isDirectory = () => false;
          entry.isSymbolicLink = () => true;
        }
      return entries;
    };
    wrap(
      promises,
      'readdir',
      (before) => async (folder, options) => asLinks(await before(folder, options), options),
    );
    wrap(fs, 'readdirSync', (before) => (folder, options) => asLinks(before(folder, options), options));
    continue;
  }
  let left = times;
  const failed = (path) => {
    if (!String(path).includes(of) || left-- <= 0) return undefined;
    return Object.assign(new Error(`${code}: ${call} '${path}'`), { code, syscall: call, path });
  };
  wrap(promises, call, (before) => async (path, ...more) => {
    const error = failed(path);
    if (error) throw error;
    return before(path, ...more);
  });
  // Of `realpath`, the system's own call fails; Node's own walk along the path goes on.
  if (call !== 'realpath')
    wrap(fs, `${call}Sync`, (before) => (path, ...more) => {
      const error = failed(path);
      if (error) throw error;
      return before(path, ...more);
    });
  else
    fs.realpathSync.native = (path, ...more) => {
      throw failed(path) ?? new Error(`no more failures of ${call}: ${more.length}`);
    };
}
