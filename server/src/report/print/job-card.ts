import { findingById } from '../../findings/registry.ts';
import { loweredErrors } from '../../findings/severity.ts';
import { joined, andList, say, someOf } from '../../language/phrase.ts';
import type { Phrase, Value } from '../../language/phrase.ts';
import { isolates } from '../../plan/high-voltage.ts';
import type { Operation } from '../../plan/operations.ts';
import type { Half } from '../../plan/steps.ts';
import type { Plan } from '../../plan/plan.ts';
import { sequenceOf } from '../../sequence/lives.ts';
import { scheduleOf } from '../../sequence/critical-path.ts';
import { readIds, readQuantity, readText, readWords } from '../../plan/read.ts';
import { acceptedAtWork } from './acceptances.ts';
import { openAtWork } from './open-findings.ts';
import type { OpenFinding } from './open-findings.ts';
import { cautionsFor } from './cautions.ts';
import { html, markup, unbroken } from './html.ts';
import type { Content, Markup } from './html.ts';
import { placesOf } from './places.ts';
import { planFields, section, printPage, sign, warning } from './page.ts';
import type { PrintOptions } from './page.ts';
import { stepReadings } from './step-readings.ts';
import { signatureTable, sourceTable } from './tables.ts';
import { tags } from './tags.ts';
import { keyedStepOn, stepTitle } from './task-words.ts';
import { plural, consumablesText, headOf, roleTitle, sourcesOf, timeText, zoneText } from './words.ts';

export interface JobCardOptions extends PrintOptions {
  /** Findings of the gravest kind that are still open; with any, the card says that it is not released. */
  readonly errors: number;
  /** All that was found. The card tells of what concerns the work. */
  readonly findings?: readonly OpenFinding[];
}

const makeSafe: ReadonlySet<string> = new Set([
  'consult',
  'shut-down',
  'support-12v-off',
  'battery-12v-off',
  'isolate',
  'lock-out',
  'wait',
  'prove-dead',
]);
const orange: ReadonlySet<string> = new Set(['high-voltage-power', 'interlock']);

/** A step without a time is counted as none: the reader is told how many. */
const shortest = (time: Value, untimed: number): Value =>
  untimed === 0
    ? time
    : plural(
        untimed,
        say`${time} and 1 step without a time`,
        say`${time} and ${untimed} steps without a time`,
      );

/** The card a technician works from: make safe, the steps in order, a tag for every connector that is opened. */
export function jobCard(plan: Plan, options: JobCardOptions): string {
  const head = headOf(plan);
  const people = [...new Set(plan.operations.flatMap(({ by }) => by?.value ?? []))];
  const { finish, untimed } = scheduleOf(plan) ?? { finish: 0, untimed: [] };
  const body = html`${releaseBlockers(plan, options.errors)}${planFields(head, [
    [say`People`, andList(people), 3],
    [
      say`Shortest possible time in this order`,
      finish > 0 ? shortest(timeText(finish), untimed.length) : '',
      2,
    ],
  ])}${openAtWork(options.findings ?? [])}${acceptedAtWork(plan, options.today)}${steps(plan)}${documents(plan)}${signatures(plan)}${tags(plan, head.number)}`;
  return printPage(
    { kind: say`Job card`, number: head.number, title: head.title, body, cautionFirst: true },
    options,
  );
}

/** The steps in order, what makes safe in a frame of its own. */
/** @param changed steps of the plan to be marked as changed, by id */
export function steps(plan: Plan, changed: ReadonlySet<string> = new Set()): Markup {
  const order = shownOrder(plan);
  const safe = makingSafe(plan, order);
  const rest = order.filter((operation) => !safe.includes(operation));
  return html`${
    safe.length > 0 &&
    html`<section class="safe">
      <h2>${say`Make safe first`}</h2>
      <p>
        ${say`Apart from these lines, do not touch any high-voltage (orange) part until every one of them is signed. The traction battery stays live even then.`}
      </p>
      ${stepTable(plan, safe, changed)}
    </section>`
  }${
    rest.length > 0 &&
    section(
      safe.length > 0 ? say`Then, in this order` : say`Steps in order`,
      html`<p class="note">
          ${say`Each step starts when the one above it is done, unless it says that it may be done at the same time as another.`}
        </p>
        ${stepTable(plan, rest, changed)}`,
    )
  }`;
}

/**
 * The isolation steps that depend on no others, so that they can come first; empty unless they end in proving
 * dead.
 */
function makingSafe(plan: Plan, order: readonly Operation[]): readonly Operation[] {
  const known = sequenceOf(plan).order;
  const others: Operation[] = [];
  const safe: Operation[] = [];
  for (const operation of order) {
    const first =
      (makeSafe.has(operation.taskId) || isIsolating(plan, operation)) &&
      !others.some((one) => known.before(one, operation));
    (first ? safe : others).push(operation);
  }
  return safe.some(({ taskId }) => taskId === 'prove-dead') ? safe : [];
}

/** Whether a step opens or covers what is opened to isolate, and nothing else. */
const isIsolating = (plan: Plan, { taskId, connectors }: Operation): boolean =>
  (taskId === 'disconnect' || taskId === 'cover') &&
  connectors.length > 0 &&
  connectors.every(({ value }) => isolates(plan, value));

/** The operations in an order the plan allows; empty if the order has a cycle. */
const shownOrder = (plan: Plan): Operation[] =>
  scheduleOf(plan)?.operations.map(({ operation }) => operation) ?? [];

/** Why the plan is not released for work. Where there are none, a person still decides. */
export function reasonsNotReleased(plan: Plan, errors: number): Phrase[] {
  const reasons: Phrase[] = [];
  if (plan.document.problems.some(({ kind }) => kind !== 'key-twice')) {
    reasons.push(say`The text of the plan has errors; steps may be missing from this card.`);
  }
  if (sequenceOf(plan).order.circle) {
    reasons.push(say`Steps of the plan wait for each other, so no order of work can be given.`);
  }
  if (plan.firstOverLimit)
    reasons.push(say`The plan has more steps than can be shown; the last ones are missing.`);
  for (const step of plan.unknownCalls) {
    reasons.push(
      say`${step.id} follows ${step.follows?.value ?? say`a procedure`}, which was not found: its steps are missing here.`,
    );
  }
  if (errors > 0)
    reasons.push(
      plural(
        errors,
        say`1 error found by the check is still open; see the review.`,
        say`${errors} errors found by the check are still open; see the review.`,
      ),
    );
  const { ofWork, ofText } = loweredErrors(plan);
  const lowered = [...ofWork, ...ofText].map((id) => findingById.get(id)!.title);
  if (lowered.length > 0) {
    reasons.push(
      say`The rate sheet or the settings switch off or lower what the check tells of dangers: ${someOf(lowered, 4)}. Errors of that kind may be missing here.`,
    );
  }
  const unproven = openedLive(plan);
  if (unproven) {
    reasons.push(
      say`${unproven.id} opens a high-voltage connector, and nothing before it proves the high-voltage system dead.`,
    );
  }
  return reasons;
}

/** A box with the reasons why the plan is not released for work; empty if there are none. */
export function releaseBlockers(plan: Plan, errors: number): Content {
  const reasons = reasonsNotReleased(plan, errors);
  return (
    reasons.length > 0 &&
    html`<div class="stop" role="note">
      <p class="warning">${sign('general')}<span>${say`Not released for work`}</span></p>
      ${reasons.map((reason) => html`<p>${reason}</p>`)}
    </div>`
  );
}

/** The first opening of a high-voltage connector without a proving-dead step that certainly precedes it. */
function openedLive(plan: Plan): Operation | undefined {
  const { order: known } = sequenceOf(plan);
  const order = shownOrder(plan);
  const proofs = order.filter(({ taskId }) => taskId === 'prove-dead');
  return order.find(
    (operation) =>
      operation.taskId === 'disconnect' &&
      // What is opened to isolate is opened live, with gloves.
      operation.connectors.some(
        ({ value }) => orange.has(plan.scope.connectors.get(value)?.class ?? '') && !isolates(plan, value),
      ) &&
      !proofs.some((proof) => known.before(proof, operation)),
  );
}

function stepTable(plan: Plan, operations: readonly Operation[], changed: ReadonlySet<string>): Markup {
  const beside = neighbours(plan, operations);
  return html`<table class="steps">
    <thead>
      <tr>
        <th scope="col" aria-label="${say`Done`}"></th>
        <th scope="col" class="no">${say`Step`}</th>
        <th scope="col">${say`What`}</th>
        <th scope="col" class="who">${say`Who`}</th>
        <th scope="col" class="time">${say`Time`}</th>
        <th scope="col" class="sig">${say`Initials`}</th>
      </tr>
    </thead>
    <tbody>
      ${operations.map((operation) => stepRow(plan, operation, beside.get(operation), changed.has(operation.planStep.id)))}
    </tbody>
  </table>`;
}

function stepRow(plan: Plan, operation: Operation, beside: Beside | undefined, changed: boolean): Markup {
  const note = readWords(operation.step.node.get('note'), operation.bindings);
  return html`<tr${markup(placesOf(plan, [operation]))}${changed && markup(' class="changed"')} aria-label="${say`${operation.id}: ${stepTitle(operation)}`}">
    <td><span class="box large" role="img" aria-label="${say`to tick when done`}"></span></td>
    <td class="no"><span class="step">${stepNumber(operation.id)}</span>${changed && html`<br /><span class="note">${say`changed`}</span>`}</td>
    <td>
      <p>${what(plan, operation)}</p>
      ${gloves(operation)}
      ${cautionsFor(plan, operation).map(({ sign: kind, text }) => warning(text, kind))}${note !== undefined && html`<p class="note">${note}</p>`}${beside && besideLine(beside)}${stepReadings(plan, operation)}
    </td>
    <td class="who">${operation.by?.value ?? ''}</td>
    <td class="time">${operation.time?.text ?? ''}</td>
    <td class="sig"></td>
  </tr>`;
}

/** May break between the step and what it follows, and nowhere else while there is room. */
const stepNumber = (id: string): Content =>
  id.includes('/') ? id.split('/').map((part, i) => html`${i > 0 && html`/<wbr />`}${unbroken(part)}`) : id;

interface Beside {
  /** The first few. */
  readonly named: readonly Operation[];
  readonly more: number;
}

/** For each operation, the unordered operations of other people. */
function neighbours(plan: Plan, operations: readonly Operation[]): ReadonlyMap<Operation, Beside> {
  const { order } = sequenceOf(plan);
  const all = shownOrder(plan).filter(({ by }) => by !== undefined);
  const found = new Map<Operation, Beside>();
  for (const operation of operations) {
    if (operation.by === undefined) continue;
    const named: Operation[] = [];
    let more = 0;
    for (const other of all) {
      if (other.by!.value === operation.by.value || !order.unordered(operation, other)) continue;
      if (named.length < 4) named.push(other);
      else more++;
    }
    if (named.length > 0) found.set(operation, { named, more });
  }
  return found;
}

function besideLine({ named, more }: Beside): Markup {
  const words = named.map(
    ({ planStep, by, task, taskId }) => say`${planStep.id} (${by?.value ?? ''}, ${task?.doing ?? taskId})`,
  );
  return html`<p class="beside">
    <b>${say`May be done at the same time as`}</b>
    ${more > 0 ? say`${joined(words, ', ')} and ${more} more` : andList(words)}
  </p>`;
}

function what(plan: Plan, operation: Operation): Markup {
  const { connectors, zones, halves, using, taskId } = operation;
  const goods = consumablesText(
    plan,
    using.map(({ value }) => value),
  );
  const places = readIds(operation.step.node.get('put-down'), operation.bindings);
  const facts = [
    connectors.length === 0 && zones.length > 0
      ? [say`in ${andList(zones.map((zone) => unbroken(zoneText(zone))))}`]
      : [],
    taskId === 'cover' || taskId === 'uncover' ? [halvesText(halves)] : [],
    goods === '' ? [] : [say`with ${goods}`],
    places.length === 0
      ? []
      : [say`and put down in ${andList(places.map(({ value }) => unbroken(zoneText(value))))}`],
    bakeWords(operation),
  ].flat();
  const title = html`<span class="key">${stepTitle(operation)}</span>`;
  const objects = andList(connectors.map(({ value }) => unbroken(value)));
  if (connectors.length === 0) return facts.length > 0 ? html`${title} ${joined(facts, ', ')}` : title;
  return html`${keyedStepOn(operation, objects)}${facts.length > 0 && html`, ${joined(facts, ', ')}`}`;
}

function gloves({ step, bindings }: Operation): Content {
  const stated = readText(step.node.get('glove-class'), bindings)?.value;
  return stated !== undefined && warning(say`Wear insulating gloves, class ${stated}.`, 'voltage');
}

function halvesText(halves: readonly Half[]): Phrase {
  if (halves.length === 2) return say`both halves`;
  return halves[0] === 'plug' ? say`the plug half only` : say`the receptacle half only`;
}

function bakeWords({ step, bindings }: Operation): Phrase[] {
  const { node } = step;
  const air = readQuantity('temperature', node.get('air-temperature'), bindings);
  const panel = readQuantity('temperature', node.get('panel-temperature'), bindings);
  const held = readQuantity('time', node.get('hold-time'), bindings);
  return [
    air && say`air temperature ${air.text}`,
    panel && say`panel temperature ${panel.text}`,
    held && say`held for ${held.text}`,
  ].filter((phrase) => phrase !== undefined);
}

function documents(plan: Plan): Content {
  const sources = [...sourcesOf(plan).values()];
  return section(
    say`Documents read for this plan`,
    sources.length === 0
      ? html`<p>${say`None is named. Read the vehicle maker's procedure before the first step.`}</p>`
      : sourceTable(sources),
    sources.length <= 12 ? 'whole' : '',
  );
}

function signatures(plan: Plan): Content {
  const roles = [...new Set([...plan.scope.policy.signOffs, 'lead-technician'])];
  return section(say`Signed`, signatureTable(roles.map((role) => ({ role: roleTitle(role) }))), 'whole kept');
}
