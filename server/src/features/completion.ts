import { splitQuantity, unitsOf } from '../document/quantity.ts';
import type { Document } from '../document/document.ts';
import { documentWords } from '../document/kind.ts';
import type { Kind } from '../document/kind.ts';
import { rangeOf } from '../text/span.ts';
import type { Edit } from '../text/span.ts';
import { owedLabour } from '../costing/owed.ts';
import { findings } from '../findings/registry.ts';
import { languageOf } from '../language/language.ts';
import type { Language } from '../language/language.ts';
import { fromTable, inLanguage, joined, deferred, say } from '../language/phrase.ts';
import type { Phrase, Value } from '../language/phrase.ts';
import type { Plan } from '../plan/plan.ts';
import { symbolAt } from '../plan/symbols.ts';
import { symbolWords } from '../plan/symbols.ts';
import type { SymbolKind } from '../plan/symbols.ts';
import { consumableText } from '../report/print/words.ts';
import type { Workspace } from '../workspace/workspace.ts';
import type { Settings } from './check.ts';
import { cursorAt } from './cursor.ts';
import type { Cursor } from './cursor.ts';
import { describeId, describeKey, raisesText, scalarText, stepsText } from './describe.ts';
import { entriesIn, entryBefore, textOf } from './names.ts';
import { allows, schemaAt } from './schema.ts';
import type { Path, Schema } from './schema.ts';
import { isSubsequence } from './outline.ts';
import { freshIds, plainText, stepGroups } from './snippets.ts';

export interface Completion {
  readonly label: string;
  readonly kind: 'key' | 'choice' | 'name' | 'unit' | 'steps' | 'file' | 'text';
  /** Of a name. */
  readonly symbol?: SymbolKind;
  readonly detail?: string;
  /** Markdown, computed on demand. */
  readonly documentation?: () => string | undefined;
  readonly edit: Edit;
  /** The text of the edit has places to fill in, written as in TextMate snippets. */
  readonly snippet: boolean;
  /** What the typed text is compared with. */
  readonly filter: string;
  /** Something can be proposed at the place to which it leads. */
  readonly opens: boolean;
  /** It writes nothing, and starts a new file of this kind instead. */
  readonly starts?: Kind;
}

export interface Completions {
  /** Best first. */
  readonly items: readonly Completion[];
  /** More would match as more is typed. */
  readonly incomplete: boolean;
}

/** Maximum number of items sent; typing more narrows them down. */
const most = 300;

/** What may be written at `offset`. Never throws on half-typed text. */
export function complete(
  workspace: Workspace,
  uri: string,
  offset: number,
  settings: Settings = {},
): Completions {
  const plan = workspace.plan(uri);
  const text = workspace.text(uri);
  const cursor = text === undefined ? undefined : cursorAt(text, offset);
  if (!plan || !cursor) return { items: [], incomplete: false };
  const items = new Completer(workspace, plan, cursor, settings).run();
  return { items: items.slice(0, most), incomplete: items.length > most };
}

interface Candidate {
  readonly label: string;
  readonly text?: string;
  readonly kind?: Completion['kind'];
  readonly symbol?: SymbolKind;
  readonly detail?: Value | undefined;
  readonly documentation?: () => Value | undefined;
  readonly snippet?: boolean;
  readonly filter?: string;
  readonly opens?: boolean;
  readonly starts?: Kind;
  /** Replaces a line break and blanks before the cursor too. */
  readonly from?: number;
}

/** A sentence without its full stop, for use in a list. */
const withoutStop = (sentence: Phrase): Phrase =>
  deferred((language) => sentence.in(language).replace(/\.$/, ''));

/** Keys whose values follow from what the plan says elsewhere. */
const whereKnown: ReadonlySet<string> = new Set([
  'uses',
  'operations.id',
  'operations.by',
  'measurements.by',
  'labour.hours',
  'labour.for',
  'accepted.at',
]);

class Completer {
  readonly document: Document;
  readonly today: string | undefined;
  readonly language: Language | undefined;

  constructor(
    readonly workspace: Workspace,
    readonly plan: Plan,
    readonly cursor: Cursor,
    settings: Settings,
  ) {
    this.document = plan.document;
    this.today = settings.today;
    this.language = languageOf(settings.language);
  }

  run(): Completion[] {
    const candidates = this.#candidates();
    const typed = this.cursor.typed.toLowerCase();
    // Match as a subsequence, as editors do; only needed if there are too many candidates to send.
    const matching =
      candidates.length > most
        ? candidates.filter(({ label, filter }) => isSubsequence(typed, (filter ?? label).toLowerCase()))
        : candidates;
    return matching.map((candidate) => this.#completion(candidate));
  }

  #completion(candidate: Candidate): Completion {
    const { start, end } = this.cursor;
    const { label, kind = 'choice', symbol, detail, documentation } = candidate;
    return {
      label,
      kind,
      ...(symbol ? { symbol } : {}),
      ...(detail === undefined ? {} : { detail: inLanguage(detail, this.language) }),
      ...(documentation ? { documentation: () => this.#words(documentation()) } : {}),
      edit: { uri: this.document.uri, start: candidate.from ?? start, end, text: candidate.text ?? label },
      snippet: candidate.snippet ?? false,
      filter: candidate.filter ?? label,
      opens: candidate.opens ?? false,
      ...(candidate.starts ? { starts: candidate.starts } : {}),
    };
  }

  #words(value: Value | undefined): string | undefined {
    return value === undefined ? undefined : inLanguage(value, this.language);
  }

  #candidates(): Candidate[] {
    const { cursor } = this;
    const { path, shape } = cursor;
    const [section, , key, parameter] = path;
    if (section === 'operations' && key === 'with' && parameter !== undefined)
      return this.#filling(parameter);
    const schema = schemaAt(this.document.kind, path);
    if (!schema) return [];
    if (shape === 'entry') return this.#keys(path, schema);
    if (shape === 'item') {
      if (allows(schema, 'object')) return [...this.#steps(path, ''), ...this.#keys(path, schema)];
      return this.#values(path, schema);
    }
    if (shape === 'below') {
      if (allows(schema, 'object')) return this.#keys(path, schema);
      if (allows(schema, 'array')) return this.#newItems(path);
      return this.#values(path, schema);
    }
    return this.#values(path, schema);
  }

  /** A new item of a block list whose dash has not been typed. */
  #newItems(path: Path): Candidate[] {
    const inner: Path = [...path, undefined];
    const schema = schemaAt(this.document.kind, inner);
    if (!schema) return [];
    const steps = this.#steps(inner, '- ');
    if (!allows(schema, 'object'))
      return this.#values(inner, schema).map((one) => ({ ...one, text: `- ${one.text ?? one.label}` }));
    const required = schema.required ?? [];
    // Of keys that exclude each other the first: a step does something, unless it follows a procedure.
    const named = schema.properties?.['id'] && !required.includes('id') ? ['id'] : [];
    const keys = [
      ...named,
      ...required,
      ...(schema.oneOf?.[0]?.required ?? []).filter((key) => !required.includes(key)),
    ];
    const [id] = path.join() === 'operations' ? this.#freshId() : [];
    const open = keys.filter((key) => id === undefined || key !== 'id');
    const fields = keys
      .map((key) => (open.includes(key) ? `${key}: \${${open.indexOf(key) + 1}}` : `${key}: ${id!.label}`))
      .join(', ');
    const name = path.at(-1)!;
    return [
      ...steps,
      {
        label: `- { ${keys.join(', ')} }`,
        kind: 'steps',
        text: `- { ${fields} }`,
        snippet: true,
        filter: name,
        opens:
          open[0] !== undefined &&
          this.#opens([...inner, open[0]], schemaAt(this.document.kind, [...inner, open[0]]) ?? {}),
        detail: say`a new entry of ${name}`,
        documentation: () => schema.description && fromTable(schema.description),
      },
    ];
  }

  #keys(path: Path, schema: Schema): Candidate[] {
    const { siblings, typed, start, end } = this.cursor;
    // The key that is being changed does not exclude itself.
    const own = this.workspace.text(this.document.uri)!.slice(start, end);
    const has = (key: string): boolean => siblings.has(key) && key !== own && key !== typed;
    const parameters = path.at(-1) === 'with' ? this.#parameters() : undefined;
    if (parameters) return parameters.filter(({ label }) => !has(label));
    if (path.join() === 'plugward,severities') return this.#severities(has);
    const required = new Set([
      ...(schema.required ?? []),
      ...(schema.oneOf ?? []).flatMap((choice) => choice.required ?? []),
    ]);
    const excluded = new Set(
      (schema.oneOf ?? []).some((choice) => choice.required?.some(has))
        ? (schema.oneOf ?? []).flatMap((choice) => choice.required ?? [])
        : [],
    );
    const keys = Object.keys(schema.properties ?? {}).filter((key) => !has(key) && !excluded.has(key));
    const ranked = [...keys.filter((key) => required.has(key)), ...keys.filter((key) => !required.has(key))];
    return ranked.map((key) => this.#key(path, key, required.has(key)));
  }

  #key(path: Path, key: string, required: boolean): Candidate {
    const inner = [...path, key];
    const schema = schemaAt(this.document.kind, inner) ?? {};
    const words = schema['x-quantity'] ?? (schema.enum ? schema.enum.map(String).join(', ') : '');
    const { text, snippet } = this.cursor.colon
      ? { text: key, snippet: false }
      : this.#keyText(inner, schema);
    return {
      label: key,
      kind: 'key',
      text,
      snippet,
      opens: !this.cursor.colon && this.#opens(inner, schema),
      detail: required ? (words ? say`required; ${words}` : say`required`) : words,
      documentation: () => describeKey(this.document.kind, inner),
    };
  }

  /** Whether anything is proposed behind a key; numbers and free text are the writer's own. */
  #opens(path: Path, schema: Schema): boolean {
    if (allows(schema, 'object') || allows(schema, 'array')) return true;
    if (schema.enum !== undefined || allows(schema, 'boolean') || schema.format === 'date') return true;
    const where = path.filter((step) => step !== undefined).join('.');
    if (whereKnown.has(where)) return true;
    const symbol = symbolAt(this.document.kind, where);
    return symbol !== undefined && !this.#isNew(symbol);
  }

  /** A name that is given here: none that is there already is proposed, but a plan may say more of a list's connector. */
  #isNew({ role, kind }: { readonly role: string; readonly kind: SymbolKind }): boolean {
    return role === 'definition' && (kind !== 'connector' || this.document.kind === 'connector-list');
  }

  #keyText(path: Path, schema: Schema): { text: string; snippet: boolean } {
    const key = path.at(-1)!;
    const { flow: inBraces, column } = this.cursor;
    const many = allows(schema, 'array');
    const pad = ' '.repeat(column);
    const required = schema.required ?? [];
    if (allows(schema, 'object')) {
      if (inBraces || required.length === 0) return { text: `${key}: { $1 }`, snippet: true };
      const lines = required.map((one, i) => `\n${pad}  ${one}: $${i + 1}`);
      return { text: `${key}:${lines.join('')}`, snippet: true };
    }
    if (!many) return { text: `${key}: `, snippet: false };
    if (inBraces || allows(schema, 'string')) return { text: `${key}: [$1]`, snippet: true };
    // Without a dash: whoever types it by habit has one, and what is proposed there brings its own.
    return { text: `${key}:\n${pad}  `, snippet: false };
  }

  #severities(has: (key: string) => boolean): Candidate[] {
    return findings
      .filter(({ id }) => !has(id))
      .map(({ id, title, means }) => ({
        label: id,
        kind: 'name',
        symbol: 'finding',
        text: this.cursor.colon ? id : `${id}: \${1|error,warning,information,off|}`,
        snippet: !this.cursor.colon,
        detail: title,
        documentation: () => means,
      }));
  }

  #parameters(): Candidate[] | undefined {
    const step = entryBefore(this.document, 'operations', this.cursor.start);
    const procedure = this.plan.scope.procedures.get(textOf(step, 'follow') ?? '');
    const home = procedure && this.workspace.plan(procedure.uri);
    if (!procedure || !home) return undefined;
    return entriesIn(procedure, 'parameters').flatMap((parameter) => {
      const name = textOf(parameter, 'name');
      if (name === undefined) return [];
      const preset = textOf(parameter, 'default');
      const kind = textOf(parameter, 'kind') ?? '';
      return {
        label: name,
        kind: 'name',
        symbol: 'parameter',
        text: this.cursor.colon ? name : `${name}: `,
        detail: preset === undefined ? say`${kind}; required` : say`${kind}; ${preset} unless filled in`,
        documentation: () => describeId(home, 'parameter', name),
      } satisfies Candidate;
    });
  }

  #steps(path: Path, dash: string): Candidate[] {
    if (path.join() !== 'operations,' || this.document.kind !== 'repair-plan' || this.cursor.flow) return [];
    const position = this.plan.steps.filter(
      ({ node }) => rangeOf(node.span).start < this.cursor.start && rangeOf(node.span).end < this.cursor.end,
    ).length;
    const above = this.plan.steps[position - 1];
    const at = above ? this.plan.indexInList(above) : -1;
    const between = `\n${' '.repeat(this.cursor.dash)}- `;
    return stepGroups(this.plan, at + 1).map(({ label, steps, why }) => ({
      label: label.in(this.language),
      kind: 'steps',
      text: dash + steps.join(between),
      snippet: true,
      detail: stepsText(steps.length),
      documentation: () =>
        joined([
          why,
          `\n\n\`\`\`yaml\n${plainText(steps.map((step) => `- ${step}`).join('\n'), '…')}\n\`\`\``,
        ]),
    }));
  }

  #values(path: Path, schema: Schema): Candidate[] {
    const where = path.filter((step) => step !== undefined).join('.');
    const special = this.#special(where);
    if (special) return special;
    const symbol = symbolAt(this.document.kind, where);
    if (symbol && !this.#isNew(symbol))
      return [...this.#names(symbol.kind, where), ...this.#parameterNames(path)];
    if (schema['x-quantity']) return [...this.#units(schema['x-quantity']), ...this.#parameterNames(path)];
    const quoted = (value: unknown): string => (this.cursor.quoted ? String(value) : scalarText(value));
    if (schema.enum) {
      const values = schema.enum.filter(
        (value, i) => schema.enum!.findIndex((other) => String(other) === String(value)) === i,
      );
      return values.map((value) => ({ label: String(value), text: quoted(value), filter: quoted(value) }));
    }
    if (allows(schema, 'boolean')) return [{ label: 'true' }, { label: 'false' }];
    if (schema.format === 'date' && this.today !== undefined)
      return [{ label: this.today, kind: 'text', detail: say`today` }];
    if (where === 'operations.by' || where === 'measurements.by')
      return [...this.#people(), ...this.#parameterNames(path)];
    return [];
  }

  /** Values completed from elsewhere in the plan. */
  #special(where: string): Candidate[] | undefined {
    switch (where) {
      case 'uses':
        return this.#files();
      case 'operations.id':
        return this.#freshId();
      case 'labour.hours':
        return this.#hours();
      case 'labour.for':
        return this.#unpaidFirst();
      case 'accepted.at':
        return [...this.#names('operation', where), ...this.#names('connector', where)];
      case 'plugward.sign-offs': {
        const roles = schemaAt('repair-plan', ['sign-offs', undefined, 'role'])?.enum ?? [];
        return roles.map((role) => ({ label: String(role) }));
      }
    }
    return undefined;
  }

  /** An id for a step at the cursor. */
  #freshId(): Candidate[] {
    const before = this.plan.steps.filter(
      ({ span }) => rangeOf(span).end < this.cursor.start && span.origin.uri === this.document.uri,
    );
    const above = before.at(-1);
    const [id] = freshIds(this.plan, above ? this.plan.indexInList(above) + 1 : 0, 1);
    return id === undefined ? [] : [{ label: id, kind: 'text', detail: say`the next free one` }];
  }

  #names(kind: SymbolKind, where: string): Candidate[] {
    const { scope } = this.plan;
    const make = (id: string, detail?: Value): Candidate => ({
      label: id,
      kind: 'name',
      symbol: kind,
      detail: detail ?? symbolWords[kind],
      documentation: () => describeId(this.plan, kind, id),
    });
    switch (kind) {
      case 'connector': {
        const zone = this.cursor.siblings.get('zone') ?? this.#stepZone();
        const all = [...scope.connectors.values()];
        const rank = (one: { zone: string | undefined }): number =>
          zone !== undefined && one.zone === zone ? 0 : 1;
        return all
          .sort((a, b) => rank(a) - rank(b) || (a.zone ?? '~').localeCompare(b.zone ?? '~'))
          .map((one) => make(one.id, [one.zone, one.class].filter(Boolean).join(' · ')));
      }
      case 'task': {
        const tasks = [...scope.tasks.values()].map((task) => ({
          ...make(
            task.id,
            task.raises.length ? withoutStop(raisesText(task.raises, task.reach)) : task.doing,
          ),
        }));
        const procedures = where === 'operations.do' ? [] : [...scope.procedures.keys()];
        return [
          ...this.#likelyFirst(tasks, where),
          ...procedures.map((id) => ({ ...make(id, say`shop procedure`), symbol: 'procedure' as const })),
        ];
      }
      case 'zone':
        return scope.zones.names.map((id) => make(id));
      case 'finding':
        return findings.map(({ id, title }) => make(id, title));
      case 'operation':
        return this.#nearestFirst(make);
      case 'consumable':
        if (scope.consumables.size === 0 && !scope.used.some((one) => one.kind === 'rate-sheet'))
          return [
            {
              label: 'rate-sheet…',
              kind: 'file',
              text: '',
              // Whatever is typed there, it is not found elsewhere either.
              filter: this.cursor.typed,
              starts: 'rate-sheet',
              detail: say`starts a rate sheet: the shop's consumables stand there`,
            },
          ];
        return [...scope.consumables.values()].map(({ id, kind: what, name }) =>
          make(id, name === id ? consumableText(what) : name),
        );
      case 'procedure':
        return [...scope.procedures].map(([id, { root }]) =>
          make(id, root?.get('title')?.value ?? say`shop procedure`),
        );
      default:
        return [...scope.names(kind)].map((id) => make(id));
    }
  }

  /** A labour line is for what its step owes, and else for what its step does. */
  #likelyFirst(tasks: readonly Candidate[], where: string): readonly Candidate[] {
    if (where !== 'labour.task') return tasks;
    const id = this.cursor.siblings.get('for');
    const owed = owedLabour(this.plan).filter(({ step }) => step.id === id);
    const unpaid = owed.filter(({ written }) => written.length === 0);
    const own = this.plan.steps.find((step) => step.id === id);
    const likely = new Set([
      ...[...unpaid, ...owed].map(({ task }) => task),
      ...(own ? [textOf(own.node as never, 'do') ?? ''] : []),
    ]);
    return [
      ...[...likely].flatMap((task) => tasks.find(({ label }) => label === task) ?? []),
      ...tasks.filter(({ label }) => !likely.has(label)),
    ];
  }

  #stepZone(): string | undefined {
    return textOf(entryBefore(this.document, 'operations', this.cursor.start), 'zone');
  }

  /** Steps above the cursor, nearest first, then those below. */
  #nearestFirst(make: (id: string, detail?: Value) => Candidate): Candidate[] {
    const own = textOf(entryBefore(this.document, 'operations', this.cursor.start), 'id');
    const inOperations = this.cursor.path[0] === 'operations';
    const steps = this.plan.steps.filter(({ id }) => !inOperations || id !== own);
    const above = steps.filter(({ span }) => rangeOf(span).start < this.cursor.start);
    const ordered = inOperations
      ? [...above.reverse(), ...steps.filter((step) => !above.includes(step))]
      : steps;
    return ordered.map((step) => {
      const task = textOf(step.node as never, 'do');
      return make(
        step.id,
        step.follows
          ? say`follows ${step.follows.value}`
          : (this.plan.scope.tasks.get(task ?? '')?.doing ?? String(task)),
      );
    });
  }

  #unpaidFirst(): Candidate[] {
    const owed = owedLabour(this.plan);
    const unpaid = new Map(
      owed.filter(({ written }) => written.length === 0).map((one) => [one.step.id, one]),
    );
    const names = this.#names('operation', 'labour.for');
    return [
      ...names
        .filter(({ label }) => unpaid.has(label))
        .map((one) => ({ ...one, detail: say`${one.detail ?? ''}; no labour line yet` })),
      ...names.filter(({ label }) => !unpaid.has(label)),
    ];
  }

  #hours(): Candidate[] {
    const step = this.cursor.siblings.get('for');
    const owed = owedLabour(this.plan).find((one) => one.step.id === step);
    const studied: Candidate[] =
      owed?.hours === undefined
        ? []
        : [{ label: String(owed.hours), kind: 'text', detail: say`the shop's own time for ${owed.task}` }];
    return [
      ...studied,
      { label: 'fill-in', kind: 'text', detail: say`a blank that someone must still fill in` },
    ];
  }

  #files(): Candidate[] {
    const { uri } = this.document;
    const folder = uri.slice(0, uri.lastIndexOf('/') + 1);
    const used = new Set(this.plan.scope.used.map((one) => one.uri));
    return this.workspace.uris
      .filter((other) => other !== uri && !used.has(other) && other.startsWith(folder))
      .flatMap((other) => {
        const kind = this.workspace.document(other)?.kind;
        if (!kind || kind === 'repair-plan') return [];
        return {
          label: `./${decodeURIComponent(other.slice(folder.length))}`,
          kind: 'file',
          detail: documentWords[kind],
        } satisfies Candidate;
      });
  }

  #people(): Candidate[] {
    const people = new Set(
      [this.document, ...this.plan.scope.used].flatMap((one) =>
        entriesIn(one, 'operations').flatMap((step) => textOf(step, 'by') ?? []),
      ),
    );
    return [...people]
      .filter((name) => !name.startsWith('$'))
      .map((name) => ({ label: name, kind: 'text', text: scalarText(name), detail: say`does steps here` }));
  }

  /** A number is completed with its units; without a number nothing is proposed, least of all a rating. */
  #units(quantity: NonNullable<Schema['x-quantity']>): Candidate[] {
    const written = splitQuantity(this.cursor.typed);
    if (!written) return [];
    return unitsOf(quantity).map((unit) => ({
      label: `${written.digits} ${unit}`,
      kind: 'unit',
      detail: quantity,
      // The editor compares this with what is typed, blanks included.
      filter: `${this.cursor.typed.slice(0, this.cursor.typed.length - written.unit.length)}${unit}`,
    }));
  }

  /** `$name` of the procedure's own parameters. */
  #parameterNames(path: Path): Candidate[] {
    if (this.document.kind !== 'shop-procedure' || path[0] !== 'operations') return [];
    return [...this.plan.scope.names('parameter')].map((name) => ({
      label: `$${name}`,
      kind: 'name',
      symbol: 'parameter',
      detail: symbolWords.parameter,
      documentation: () => describeId(this.plan, 'parameter', name),
    }));
  }

  /** The value of a parameter, by the kind its procedure declares. */
  #filling(name: string): Candidate[] {
    const step = entryBefore(this.document, 'operations', this.cursor.start);
    const procedure = this.plan.scope.procedures.get(textOf(step, 'follow') ?? '');
    const parameter =
      procedure && entriesIn(procedure, 'parameters').find((one) => textOf(one, 'name') === name);
    switch (textOf(parameter, 'kind')) {
      case 'person':
        return this.#people();
      case 'connectors':
        return this.#names('connector', '');
      case 'zone':
        return this.#names('zone', '');
      case 'consumables':
        return this.#names('consumable', '');
      case 'time':
        return this.#units('time');
      case 'temperature':
        return this.#units('temperature');
      case 'voltage':
        return this.#units('voltage');
      default:
        return [];
    }
  }
}
