/**
 * What the server is told at its start. A folder's settings may hold any key; they have no say in how the server works
 * with this editor and where it loads the checker from.
 */
export const serverOptions = (settings: object, server: Readonly<Record<string, string>>): object => ({
  ...settings,
  readsFiles: true,
  showsPlaces: true,
  pullsDiagnostics: true,
  hearsChanges: true,
  opensCompletions: true,
  core: undefined,
  ...server,
});
