import { commands, Location, Position, Range, Uri } from 'vscode';
import type * as protocol from 'vscode-languageclient';

/** Shows the places that a lens speaks of, as references are shown. */
export async function showPlaces(
  uri: string,
  position: protocol.Position,
  places: readonly protocol.Location[],
): Promise<void> {
  await commands.executeCommand(
    'editor.action.showReferences',
    Uri.parse(uri),
    new Position(position.line, position.character),
    places.map(({ uri: file, range: { start, end } }) => {
      const range = new Range(start.line, start.character, end.line, end.character);
      return new Location(Uri.parse(file), range);
    }),
  );
}
