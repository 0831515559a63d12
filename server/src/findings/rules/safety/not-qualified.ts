import { rangeOf } from '../../../text/span.ts';
import type { Phrase } from '../../../language/phrase.ts';
import { opensBattery } from '../../support/battery.ts';
import { idOfPerson, qualificationsFor } from '../../support/people.ts';
import type { Qualification } from '../../support/people.ts';
import type { Operation } from '../../../plan/operations.ts';
import { operationsWhere } from '../../../plan/plan.ts';
import type { Measurement, Plan } from '../../../plan/plan.ts';
import { memoOfLastTexts } from '../../../incremental/memo.ts';
import type { Person } from '../../../plan/rate-sheet.ts';
import { dischargesBatteryByName, stillLearns } from '../../../plan/tables/own-names.ts';
import { alsoAt, andAt, told } from '../../support/needs.ts';
import { named, valueSpan } from '../../support/words.ts';
import { say } from '../../../language/phrase.ts';
import type { FindingReport, FindingRule } from '../../finding.ts';
import { plansOnly } from '../../finding.ts';

export const notQualified: FindingRule = {
  id: 'not-qualified',
  title: say`Work by somebody who may not do it`,
  severity: 'error',
  page: () => ({
    means: say`The rate sheet lists people and what they may do, and a step on high voltage, restraints, refrigerant or gas (hydrogen, natural gas, LPG) or in the opened traction battery is done by somebody who is not on that list for it, or whose qualification has expired. Where no rate sheet lists people, such a step by an apprentice, a trainee or a helper, by the name in the plan. The same of whoever takes a reading on high voltage or signs as high-voltage technician, and of an acceptance by one of these.`,
    why: say`Work on these systems is for people trained and appointed for it; the list says who they are.`,
    whatToDo: say`Give the step to somebody who may do it, or bring the list up to date.`,
    source: say`The rate sheet, \`people:\`.`,
    example: {
      wrong: `operations:
  - { id: op10, do: isolate, by: painter-c }
uses: [./example.rate-sheet.yaml, ./people.rate-sheet.yaml]
`,
      right: `operations:
  - { id: op10, do: isolate, by: technician-a }
uses: [./example.rate-sheet.yaml, ./people.rate-sheet.yaml]
`,
    },
  }),
  kinds: plansOnly,
  ground: 'safety',
  *check(subject) {
    const { plan, judgedOn } = subject;
    const { people } = plan.scope;
    // A person given to a procedure stands in one place for all its steps.
    const groups = new Map<
      string,
      { readonly kind: Qualification; readonly lack: Lack; readonly steps: Operation[] }
    >();
    for (const operation of people ? plan.operations : learning(plan)) {
      const { by } = operation;
      if (!by) continue;
      const ids = operation.connectors.map(({ value }) => value);
      const kinds = new Set(qualificationsFor(plan, operation.taskId, ids));
      if (opensBattery(plan, operation) || dischargesBatteryByName(operation.taskId))
        kinds.add('high-voltage');
      for (const kind of kinds) {
        const lack = people ? lackOf(people.get(by.value), kind, judgedOn) : 'learning';
        if (!lack) continue;
        const { uri, start } = rangeOf(by.span);
        const key = `${kind} ${start} ${uri}${uri === plan.uri ? '' : ` ${operation.id}`}`;
        const group = groups.get(key);
        if (group) group.steps.push(operation);
        else groups.set(key, { kind, lack, steps: [operation] });
      }
    }
    for (const { kind, lack, steps } of groups.values()) {
      for (const { first: operation, others } of told(subject, 'not-qualified', [
        { culprit: undefined, steps },
      ])) {
        const by = operation.by!;
        const person = people?.get(by.value);
        yield {
          at: valueSpan(plan, operation, by),
          operation: operation.id,
          ...andAt(others),
          message:
            lack === 'learning'
              ? say`${named(operation)} is ${kindWords[kind]} and is done by ${by.value}, by that name somebody who still learns it or only helps. Give the step to somebody who is qualified for it.`
              : lack === 'unreadable'
                ? say`${named(operation)} is done by ${by.value}, and the last day of the qualification for ${kindWords[kind]} cannot be read in the rate sheet. Correct \`until\` there, as in 2027-02-10.`
                : lack === 'expired'
                  ? say`${named(operation)} is done by ${by.value}, whose qualification for ${kindWords[kind]} expired on ${person!.until!}. Give the step to somebody who may do it.`
                  : say`${named(operation)} is done by ${by.value}, who may not do ${kindWords[kind]} by the rate sheet. Give the step to somebody who may do it.`,
          trace: [
            ...(person ? [{ at: person.span, message: say`${by.value} in the rate sheet` }] : []),
            ...alsoAt(others),
          ],
        };
      }
    }
    yield* measured(plan, judgedOn);
    yield* signed(plan, judgedOn);
    for (const { node, finding } of plan.accepted) {
      const by = node.get('by');
      if (!by || !learns(by.value)) continue;
      yield {
        at: by.span,
        message: say`The acceptance of ${finding.value} is by ${by.value}, by that name somebody who still learns the work or only helps. Have it accepted by somebody who is responsible for the work, or fix what was found.`,
      };
    }
  },
};

/** Readings by somebody who may not measure there, where the measuring step is not told as that person's. */
function* measured(plan: Plan, day: string | undefined): Generator<FindingReport> {
  const { people } = plan.scope;
  const readings = plan.measurements.filter(({ node }) => node.get('by'));
  if (readings.length === 0) return;
  const keyOf = (task: string, by: string, id: string): string => [task, by, id].join('\n');
  const toldThere = new Set(
    Object.values(measuring).flatMap((task) =>
      plan
        .operationsDoing(task)
        .flatMap(({ by, connectors }) =>
          by ? connectors.map(({ value }) => keyOf(task, by.value, value)) : [],
        ),
    ),
  );
  for (const { node, connector, kind: measurement } of readings) {
    const by = node.get('by')!;
    const { value: id } = connector;
    const task = measuring[measurement];
    if (toldThere.has(keyOf(task, by.value, id))) continue;
    for (const kind of qualificationsFor(plan, task, [id])) {
      const person = people?.get(by.value) ?? people?.get(idOfPerson(by.value));
      const lack = people ? lackOf(person, kind, day) : learns(by.value) ? 'learning' : undefined;
      if (!lack) continue;
      yield {
        at: by.span,
        connector: id,
        message: say`The reading at ${id} is by ${by.value}, ${reasons[lack](person)}. Have it taken again by somebody who may do ${kindWords[kind]}.`,
        trace: person ? [{ at: person.span, message: say`${person.id} in the rate sheet` }] : [],
      };
    }
  }
}

const measuring: Readonly<Record<Measurement['kind'], string>> = {
  'contact-resistance': 'measure-resistance',
  insulation: 'measure-insulation',
  bonding: 'measure-bonding',
};

/** Signatures as high-voltage technician. Names are written as people write them: `Technician A` is `technician-a` of the sheet. */
function* signed(plan: Plan, day: string | undefined): Generator<FindingReport> {
  for (const { role, name } of plan.signatures) {
    if (role !== 'high-voltage-technician' || !name) continue;
    const person = plan.scope.people?.get(idOfPerson(name.value));
    const lack = learns(name.value) ? 'learning' : person && lackOf(person, 'high-voltage', day);
    if (!lack) continue;
    yield {
      at: name.span,
      message:
        lack === 'learning'
          ? say`${name.value} signs as high-voltage technician, by that name somebody who still learns the work or only helps. Have somebody sign who is trained and appointed for it.`
          : lack === 'unreadable'
            ? say`${name.value} signs as high-voltage technician, and the last day of the qualification for that cannot be read in the rate sheet. Correct \`until\` there, as in 2027-02-10.`
            : lack === 'expired'
              ? say`${name.value} signs as high-voltage technician, and the qualification for that expired on ${person!.until!}. Have somebody sign who may do this work.`
              : say`${name.value} signs as high-voltage technician, and may not do work on high voltage by the rate sheet. Have somebody sign who may do this work.`,
      trace: person ? [{ at: person.span, message: say`${person.id} in the rate sheet` }] : [],
    };
  }
}

/** Why a person may not do a kind of work: not listed for it, the last day cannot be read, it is past, or by the name. */
type Lack = 'unlisted' | 'unreadable' | 'expired' | 'learning';

/** Steps of people who still learn, by their names in the plan, where no sheet says who may do what. */
const learning = operationsWhere(({ by }) => by !== undefined && learns(by.value));
/** Few people do many steps. */
const learns = memoOfLastTexts(stillLearns);

function lackOf(person: Person | undefined, kind: Qualification, day: string | undefined): Lack | undefined {
  if (!person?.may.has(kind)) return 'unlisted';
  if (person.untilUnreadable) return 'unreadable';
  return person.until !== undefined && day !== undefined && day > person.until ? 'expired' : undefined;
}

const reasons: Readonly<Record<Lack, (person: Person | undefined) => Phrase>> = {
  unlisted: () => say`who may not do this work by the rate sheet`,
  unreadable: () => say`and the last day of the qualification for this work cannot be read in the rate sheet`,
  expired: (person) => say`whose qualification for this work expired on ${person!.until!}`,
  learning: () => say`by that name somebody who still learns the work or only helps`,
};

const kindWords: Readonly<Record<Qualification, Phrase>> = {
  'high-voltage': say`work on high voltage`,
  restraint: say`work on restraints`,
  refrigerant: say`work on refrigerant`,
  gas: say`work on hydrogen, natural gas or LPG`,
};
