import { capital, joined, andList, say } from '../../language/phrase.ts';
import type { Phrase } from '../../language/phrase.ts';
import { gases, isFuel, isUnderPressure } from '../../plan/tables/fluids.ts';
import { classRules } from '../../plan/tables/classes.ts';
import type { ConnectorClass } from '../../plan/tables/classes.ts';
import type { Plan } from '../../plan/plan.ts';
import type { Connector } from '../../plan/scope.ts';
import { sequenceOf } from '../../sequence/lives.ts';
import type { Operation } from '../../plan/operations.ts';
import type { ConnectorHistory } from '../../sequence/life.ts';
import { html } from './html.ts';
import type { Content, Markup } from './html.ts';
import { blankLine, box, warning } from './page.ts';
import { leastInsulation } from './step-readings.ts';
import { consumablesText, zoneText } from './words.ts';

/** A tag to cut out for every connector that the plan opens; it hangs there until the connector is closed and proven. */
export function tags(plan: Plan, number: string): Content {
  const { lives, order } = sequenceOf(plan);
  const opened = [...lives.values()].filter(({ events }) => events.some(({ act }) => act === 'disconnect'));
  const first = ({ events }: ConnectorHistory): Operation => events[0]!.operation;
  opened.sort((a, b) => order.compare(first(a), first(b)));
  return (
    opened.length > 0 &&
    html`<section class="newpage">
      <h2>${say`Tags, one for each connector that is opened`}</h2>
      <p class="note">
        ${say`Cut out and tie on when the connector is opened. Remove the tag when its last box is ticked, and keep it with the card.`}
      </p>
      <div class="tags">${opened.map((life) => tag(plan, life, number))}</div>
    </section>`
  );
}

const makerWords: Readonly<Record<Connector['makerCover'], Phrase>> = {
  'dummy-plug': say`dummy plug`,
  masking: say`masking`,
  'not-stated': say`not stated`,
};

function tag(plan: Plan, life: ConnectorHistory, number: string): Markup {
  const { connector, events } = life;
  const rule = connector.class && classRules[connector.class];
  const high = connector.class === 'high-voltage-power' || connector.class === 'interlock';
  const steps = (act: string): string[] =>
    events.flatMap((event) => (event.act === act ? [event.operation.planStep.id] : []));
  const opened = steps('disconnect');
  const closed = steps('reconnect');
  return html`<article class="tag">
    <div class="top">
      <span class="hole" aria-hidden="true"></span>
      <p class="plan">
        ${number}${opened.length > 0 && say`, opened in ${andList(opened)}`}${closed.length > 0 && say`, closed in ${andList(closed)}`}
      </p>
    </div>
    <h3>${connector.id}</h3>
    <p class="class">
      ${connector.name === connector.id ? '' : html`${capital(connector.name)}. `}${rule ? capital(rule.words) : say`No class stated`}${connector.zone !== undefined && say`, in ${zoneText(connector.zone)}`}
    </p>
    <p>${cover(plan, life)} <span class="note">${say`(maker: ${makerWords[connector.makerCover]})`}</span></p>
    <table>
      <thead>
        <tr>
          <th scope="col"><span class="label">${say`Half`}</span></th>
          <th scope="col">${say`open`}</th>
          <th scope="col">${say`covered`}</th>
          <th scope="col">${say`cover removed`}</th>
          <th scope="col">${say`inspected`}</th>
          <th scope="col">${say`cleaned`}</th>
          <th scope="col" class="initials">${say`initials`}</th>
        </tr>
      </thead>
      <tbody>
        ${[say`Plug`, say`Receptacle`].map(
          (half) =>
            html`<tr>
              <td>${half}</td>
              ${[1, 2, 3, 4, 5].map(() => html`<td><span class="box" role="img" aria-label="${say`to tick`}"></span></td>`)}
              <td class="initials"></td>
            </tr>`,
        )}
      </tbody>
    </table>
    <p>${proofs(plan, connector)}</p>
    ${warning(warningFor(connector), high ? 'voltage' : 'general')}
    <p class="foot">${blankLine(say`Tag removed by`)}${blankLine(say`date`)}</p>
  </article>`;
}

function warningFor({ class: kind, medium, isolates }: Connector): Phrase {
  if (kind === 'fluid-line' && medium !== undefined && gases.has(medium)) {
    return say`Gas under pressure: only by a person trained for gas vehicles. No flame, spark or heater near. Do not open under pressure. Do not close with a cover still on or before inspection.`;
  }
  if (kind === 'fluid-line' && isFuel(medium)) {
    return say`Fuel. No flame, spark or heater near. Do not open under pressure. Do not close with a cover still on or before inspection.`;
  }
  if (kind === 'fluid-line' && medium === 'refrigerant') {
    return say`Refrigerant under pressure: certified person only. Do not close with a cover still on or before inspection.`;
  }
  if (kind === 'fluid-line' && isUnderPressure(medium)) {
    return say`Stored pressure. Do not open until it is relieved, as the vehicle maker specifies. Do not close with a cover still on or before inspection.`;
  }
  if (kind === '48-volt') {
    return say`48 V. Do not touch until the 48 V system is isolated and the vehicle maker's waiting time is over. Do not close with a cover still on.`;
  }
  if (kind === 'high-voltage-power' || kind === 'interlock') {
    return isolates
      ? say`High voltage, live until proven dead: opening this plug is the isolation. Only if you are qualified, with the vehicle shut down and the gloves and procedure of the vehicle maker.`
      : say`High voltage. Do not touch unless you are qualified and the system is proven dead. The half on the battery side can stay live even then.`;
  }
  if (kind === 'fluid-line' && medium === 'coolant') {
    return say`Coolant, hot and under pressure after use. Do not open before it has cooled down, as the vehicle maker specifies. Do not close with a cover still on or before inspection.`;
  }
  return kind === 'restraint' || kind === 'pyrotechnic'
    ? say`Restraint system (SRS). Do not touch until the 12 V battery is disconnected and the vehicle maker's waiting time is over. Never put a meter on it.`
    : say`Do not close with a cover still on. Do not close before inspection.`;
}

function cover(plan: Plan, { events }: ConnectorHistory): Content {
  const covers = events.filter(({ act }) => act === 'cover');
  if (covers.length === 0) return html`<b>${say`No cover is planned for it.`}</b>`;
  const each = covers.map(({ operation: { halves, using } }) => {
    const goods = consumablesText(
      plan,
      using.map(({ value }) => value),
    );
    const named = goods === '' ? say`not named` : goods;
    if (halves.length === 2) return say`${named}, both halves`;
    return halves[0] === 'plug' ? say`${named}, plug half only` : say`${named}, receptacle half only`;
  });
  return say`Cover: ${joined(each, '; ')}`;
}

/** What the class requires after closing, as boxes and readings. */
function proofs(plan: Plan, connector: Connector): readonly Markup[] {
  const { class: kind, lock, resistance, newSeal, calibrate } = connector;
  const limit = resistance.limit?.text;
  const milliohms = limit === undefined ? 'mΩ' : say`mΩ, stop above ${limit}`;
  const least = leastInsulation(plan, connector)?.value;
  const megohms = least === undefined ? 'MΩ' : say`MΩ, stop below ${least}`;
  const asked: Readonly<Record<ConnectorClass, readonly Markup[]>> = {
    'high-voltage-power': [blankLine(say`contact`, milliohms), blankLine(say`insulation`, megohms)],
    interlock: [box(say`loop proven closed`)],
    restraint: [box(say`scanned, no fault codes`)],
    pyrotechnic: [box(say`scanned, no fault codes`)],
    '48-volt': [box(say`seated`)],
    sensor: [box(say`seated`), box(say`scanned, no fault codes`)],
    data: [box(say`seated`), box(say`scanned, no fault codes`)],
    'low-voltage': [box(say`seated`)],
    earth: [blankLine(say`bonding`, 'mΩ')],
    'fluid-line': [box(say`leak-tested`)],
  };
  return [
    ...(newSeal ? [box(say`new seal`)] : []),
    ...(lock ? [box(say`locked`)] : []),
    ...(kind ? asked[kind] : []),
    ...(calibrate ? [box(say`calibrated`)] : []),
  ];
}
