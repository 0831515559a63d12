// Stands in for an extension that checks YAML: it has something to say about every document in that language.
const vscode = require('vscode');

exports.activate = (context) => {
  const said = vscode.languages.createDiagnosticCollection('yaml-stranger');
  const look = (document) => {
    if (document.languageId !== 'yaml') return;
    const place = new vscode.Range(0, 0, 0, 1);
    said.set(document.uri, [
      new vscode.Diagnostic(place, 'Said by a stranger.', vscode.DiagnosticSeverity.Warning),
    ]);
  };
  context.subscriptions.push(said, vscode.workspace.onDidOpenTextDocument(look));
  vscode.workspace.textDocuments.forEach(look);
  // One of its own, by which a test sees that it is awake.
  void vscode.workspace.openTextDocument({ language: 'yaml' });
};
