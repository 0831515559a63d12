import { own } from '../base/collections.ts';
import connectorList from '../../../schemas/connector-list.schema.json';
import rateSheet from '../../../schemas/rate-sheet.schema.json';
import repairPlan from '../../../schemas/repair-plan.schema.json';
import shopProcedure from '../../../schemas/shop-procedure.schema.json';
import type { QuantityName } from '../document/quantity.ts';
import type { Kind } from '../document/kind.ts';

/** As much of a JSON Schema as the plan language uses. */
export interface Schema {
  readonly $ref?: string;
  readonly description?: string;
  readonly type?: string | readonly string[];
  readonly enum?: readonly unknown[];
  readonly format?: string;
  readonly pattern?: string;
  readonly examples?: readonly unknown[];
  readonly required?: readonly string[];
  readonly oneOf?: readonly { readonly required?: readonly string[] }[];
  readonly properties?: Readonly<Record<string, Schema>>;
  readonly additionalProperties?: boolean | Schema;
  readonly items?: Schema;
  readonly 'x-quantity'?: QuantityName;
  readonly $defs?: Readonly<Record<string, Schema>>;
}

/** Keys from the root of a document; `undefined` means any index of a list. */
export type Path = readonly (string | undefined)[];

const schemas: Readonly<Record<Kind, Schema>> = {
  'repair-plan': repairPlan as Schema,
  'shop-procedure': shopProcedure as Schema,
  'connector-list': connectorList as Schema,
  'rate-sheet': rateSheet as Schema,
};

/** The schema of the value at `path`, references resolved; undefined where the language has nothing. */
export function schemaAt(kind: Kind, path: Path): Schema | undefined {
  let schema: Schema | undefined = resolved(schemas[kind], kind);
  for (const step of path) {
    if (!schema) return undefined;
    const next: Schema | undefined = step === undefined ? schema.items : propertyOf(schema, step);
    schema = next && resolved(next, kind);
  }
  return schema;
}

function propertyOf({ properties, additionalProperties }: Schema, key: string): Schema | undefined {
  const known = properties && own(properties, key);
  if (known) return known;
  return typeof additionalProperties === 'object' ? additionalProperties : undefined;
}

/** Keywords beside a `$ref` are more specific than those of its target. */
function resolved(schema: Schema, kind: Kind): Schema {
  const name = /^#\/\$defs\/(.+)$/.exec(schema.$ref ?? '')?.[1];
  const target = name === undefined ? undefined : own(schemas[kind].$defs ?? {}, name);
  return target ? { ...target, ...schema, required: schema.required ?? target.required ?? [] } : schema;
}

export const allows = ({ type }: Schema, name: string): boolean => [type ?? []].flat().includes(name);
