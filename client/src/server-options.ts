/**
 * The server's initialization options. A folder's settings may contain any key; they must not affect how the
 * server works with this editor, from where it loads the checker and where it keeps what it found.
 */
export const serverOptions = (settings: object, server: Readonly<Record<string, string>>): object => ({
  ...settings,
  readsFiles: true,
  showsPlaces: true,
  pullsDiagnostics: true,
  hearsChanges: true,
  opensCompletions: true,
  opensHeat: true,
  core: undefined,
  cacheFolder: undefined,
  ...server,
});
