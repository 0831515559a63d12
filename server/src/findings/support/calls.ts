import { mapsIn } from '../../document/node.ts';
import type { Entry, MapNode } from '../../document/node.ts';
import { query } from '../../incremental/query.ts';
import type { Span } from '../../text/span.ts';
import { say } from '../../language/phrase.ts';
import type { Phrase } from '../../language/phrase.ts';
import type { Step } from '../../plan/steps.ts';
import { SnapshotPlan } from '../../plan/plan.ts';
import type { Plan } from '../../plan/plan.ts';
import type { Snapshot } from '../../plan/snapshot.ts';
import type { ShopProcedure } from '../../generated/shop-procedure.ts';

type RawParameter = NonNullable<ShopProcedure['parameters']>[number];
export type ParameterKind = RawParameter['kind'];

/** Display name of each parameter kind. */
export const parameterKindWords: Readonly<Record<ParameterKind, Phrase>> = {
  person: say`who does it`,
  connectors: say`the connectors it is done on`,
  zone: say`where it is done`,
  consumables: say`what of the rate sheet it uses`,
  time: say`a length of time, such as 5 min`,
  temperature: say`a temperature, such as 60 °C`,
  voltage: say`a voltage, such as 1000 V`,
  text: say`a few words`,
};

/** A parameter of a procedure, as a call sees it. */
interface Parameter {
  readonly name: string;
  readonly kind: ParameterKind;
  readonly required: boolean;
  readonly span: Span;
}

/** A step in a file's own list that follows a known procedure. */
export interface ProcedureCall {
  readonly step: Step;
  readonly procedure: string;
  readonly parameters: readonly Parameter[];
  /** What the step fills in. */
  readonly given: readonly Entry[];
}

export const callsOf = ({ reading }: Plan): readonly ProcedureCall[] => callsIn(reading);

const callsIn = query((reading: Snapshot): readonly ProcedureCall[] => {
  const { steps, scope } = new SnapshotPlan(reading);
  return steps
    .filter(({ follows }) => follows)
    .flatMap((step): ProcedureCall[] => {
      const name = step.follows!.value;
      const document = scope.procedures.get(name);
      if (!document?.root || step.node.partlyParsed) return [];
      // In a partly unreadable procedure, the parameter may be in the unreadable part.
      if (document.problems.length > 0) return [];
      const parameters = mapsIn<RawParameter>(document.root.get('parameters')).flatMap(
        (node): Parameter[] => {
          const named = node.get('name');
          const kind = node.get('kind')?.value;
          return named && kind
            ? [{ name: named.value, kind, required: !node.entry('default'), span: named.span }]
            : [];
        },
      );
      const given = step.node.get('with') as MapNode<Record<string, unknown>> | undefined;
      return [{ step, procedure: name, parameters, given: given?.entries ?? [] }];
    });
});
