import type { InitializeParams } from 'vscode-languageserver';

/** The client capabilities that the server depends on. */
export interface ClientAbilities {
  readonly relatedInformation: boolean;
  readonly markdownHover: boolean;
  readonly versionedEdits: boolean;
  /** Asks before it applies edits that say they want it. */
  readonly annotatesEdits: boolean;
  /** Takes edits with places to fill in (LSP 3.18). */
  readonly snippetEdits: boolean;
  readonly resolvesCodeActionEdits: boolean;
  readonly diagnosticTags: boolean;
  readonly watchesFiles: boolean;
  readonly configuration: boolean;
  readonly announcesConfigurationChanges: boolean;
  readonly workspaceFolders: boolean;
  /** Answers `plugward/readFile`: for folders that are not on the server's disk. */
  readonly readsFiles: boolean;
  /** Has a command that shows places, for lenses. */
  readonly showsPlaces: boolean;
  readonly completesSnippets: boolean;
  readonly markdownCompletion: boolean;
  /** Tells the text before the cursor from that after it when it takes a completion. */
  readonly insertsOrReplaces: boolean;
  readonly labelDetails: boolean;
  /** The client resolves the documentation of a completion item when it is selected. */
  readonly resolvesCompletion: boolean;
  /** Has the commands that open completion again, and that start a file. */
  readonly opensCompletions: boolean;
  /** Has the command that opens the page of a connector's heat. */
  readonly opensHeat: boolean;
  readonly preparesRename: boolean;
  /** Asks which edits go with a file that is about to be renamed or moved. */
  readonly tellsRenames: boolean;
  /**
   * The client pulls diagnostics and wants none pushed. Not every client that supports pulling does, so it
   * must opt in.
   */
  readonly pullsDiagnostics: boolean;
  readonly refreshesDiagnostics: boolean;
  readonly refreshesLenses: boolean;
  readonly refreshesHints: boolean;
  readonly refreshesTokens: boolean;
  /** Leads to a place that the server names. */
  readonly showsDocuments: boolean;
  /** Listens to `plugward/changed`, for what it shows by requests of our own. */
  readonly hearsChanges: boolean;
}

export function abilitiesOf(params: InitializeParams): ClientAbilities {
  const { workspace, textDocument, window } = params.capabilities ?? {};
  const options = params.initializationOptions as
    | {
        readsFiles?: unknown;
        showsPlaces?: unknown;
        pullsDiagnostics?: unknown;
        hearsChanges?: unknown;
        opensCompletions?: unknown;
        opensHeat?: unknown;
      }
    | null
    | undefined;
  const item = textDocument?.completion?.completionItem;
  return {
    relatedInformation: textDocument?.publishDiagnostics?.relatedInformation === true,
    markdownHover: textDocument?.hover?.contentFormat?.includes('markdown') === true,
    versionedEdits: workspace?.workspaceEdit?.documentChanges === true,
    annotatesEdits:
      workspace?.workspaceEdit?.documentChanges === true &&
      workspace.workspaceEdit.changeAnnotationSupport !== undefined,
    snippetEdits:
      workspace?.workspaceEdit?.documentChanges === true &&
      workspace.workspaceEdit.snippetEditSupport === true,
    diagnosticTags:
      (textDocument?.publishDiagnostics?.tagSupport ?? textDocument?.diagnostic?.tagSupport) !== undefined,
    resolvesCodeActionEdits: textDocument?.codeAction?.resolveSupport?.properties?.includes('edit') === true,
    watchesFiles: workspace?.didChangeWatchedFiles?.dynamicRegistration === true,
    configuration: workspace?.configuration === true,
    announcesConfigurationChanges: workspace?.didChangeConfiguration?.dynamicRegistration === true,
    workspaceFolders: workspace?.workspaceFolders === true,
    readsFiles: options?.readsFiles === true,
    showsPlaces: options?.showsPlaces === true,
    completesSnippets: item?.snippetSupport === true,
    markdownCompletion: item?.documentationFormat?.includes('markdown') === true,
    insertsOrReplaces: item?.insertReplaceSupport === true,
    labelDetails: item?.labelDetailsSupport === true,
    resolvesCompletion: item?.resolveSupport?.properties.includes('documentation') === true,
    opensCompletions: options?.opensCompletions === true,
    opensHeat: options?.opensHeat === true,
    tellsRenames: workspace?.fileOperations?.willRename === true,
    preparesRename: textDocument?.rename?.prepareSupport === true,
    pullsDiagnostics: textDocument?.diagnostic !== undefined && options?.pullsDiagnostics === true,
    refreshesDiagnostics: workspace?.diagnostics?.refreshSupport === true,
    refreshesLenses: workspace?.codeLens?.refreshSupport === true,
    refreshesHints: workspace?.inlayHint?.refreshSupport === true,
    refreshesTokens: workspace?.semanticTokens?.refreshSupport === true,
    showsDocuments: window?.showDocument?.support === true,
    hearsChanges: options?.hearsChanges === true,
  };
}
