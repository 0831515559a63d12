// The files of a test for a workbench that runs in a browser alone: `shop:/…` is the folder behind the page's server.
const vscode = require('vscode');

/** Where the test's server stands, from the address this extension was loaded from. */
let files = '';
const changed = new vscode.EventEmitter();

async function ask(uri, options) {
  const answer = await fetch(files + uri.path, options);
  if (answer.status === 404) throw vscode.FileSystemError.FileNotFound(uri);
  if (!answer.ok) throw vscode.FileSystemError.Unavailable(uri);
  return answer;
}

const provider = {
  onDidChangeFile: changed.event,
  watch: () => ({ dispose: () => undefined }),
  stat: async (uri) => (await ask(uri, { headers: { want: 'stat' } })).json(),
  readDirectory: async (uri) => (await ask(uri, { headers: { want: 'entries' } })).json(),
  readFile: async (uri) => new Uint8Array(await (await ask(uri)).arrayBuffer()),
  async writeFile(uri, body) {
    await ask(uri, { method: 'PUT', body });
    changed.fire([{ type: vscode.FileChangeType.Changed, uri }]);
  },
  createDirectory: (uri) => Promise.reject(vscode.FileSystemError.NoPermissions(uri)),
  delete: (uri) => Promise.reject(vscode.FileSystemError.NoPermissions(uri)),
  rename: (uri) => Promise.reject(vscode.FileSystemError.NoPermissions(uri)),
};

exports.activate = (context) => {
  files = context.extensionUri.with({ path: '/files' }).toString(true);
  context.subscriptions.push(vscode.workspace.registerFileSystemProvider('shop', provider));
};
