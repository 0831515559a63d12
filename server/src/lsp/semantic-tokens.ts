import type { SemanticTokens } from 'vscode-languageserver';
import { SemanticTokenModifiers, SemanticTokensBuilder, SemanticTokenTypes } from 'vscode-languageserver';
import { tokensIn } from '../features/tokens.ts';
import type { TokenKind } from '../features/tokens.ts';
import type { Capability } from './capability.ts';
import { canonicalUri } from './documents.ts';
import { requestHandler } from './guard.ts';

/** In the protocol's own words, for which every colour theme has a colour. */
const types: Readonly<Record<TokenKind, SemanticTokenTypes>> = {
  task: SemanticTokenTypes.function,
  connector: SemanticTokenTypes.interface,
  operation: SemanticTokenTypes.event,
  zone: SemanticTokenTypes.namespace,
  consumable: SemanticTokenTypes.class,
  procedure: SemanticTokenTypes.method,
  parameter: SemanticTokenTypes.parameter,
  source: SemanticTokenTypes.property,
  rate: SemanticTokenTypes.property,
  finding: SemanticTokenTypes.macro,
  quantity: SemanticTokenTypes.number,
};
const legend = [...new Set(Object.values(types))];

export const semanticTokensCapability: Capability = {
  announce: () => ({
    semanticTokensProvider: {
      legend: { tokenTypes: legend, tokenModifiers: [SemanticTokenModifiers.definition] },
      full: true,
    },
  }),
  register(session) {
    const { connection, workspace } = session;
    connection.languages.semanticTokens.on(
      requestHandler(
        session,
        'tokens',
        (): SemanticTokens => ({ data: [] }),
        ({ textDocument }) => {
          const key = canonicalUri(textDocument.uri);
          const lines = workspace.lines(key);
          const builder = new SemanticTokensBuilder();
          for (const { start, end, kind, defines } of lines ? tokensIn(workspace, key) : []) {
            const { line, character } = lines!.positionAt(start);
            builder.push(line, character, end - start, legend.indexOf(types[kind]), defines ? 1 : 0);
          }
          return builder.build();
        },
      ),
    );
  },
};
