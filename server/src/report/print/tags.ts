import { classRules } from '../../plan/classes.ts';
import type { ConnectorClass } from '../../plan/classes.ts';
import type { Plan } from '../../plan/plan.ts';
import type { Connector } from '../../plan/scope.ts';
import { sequenceOf } from '../../sequence/lives.ts';
import type { Life } from '../../sequence/lives.ts';
import { html } from './html.ts';
import type { Content, Markup } from './html.ts';
import { blankLine, box, warning } from './sheet.ts';
import { goodsText, listed } from './words.ts';

/** A tag to cut out for every connector that the plan opens; it hangs there until the connector is closed and proven. */
export function tags(plan: Plan, number: string): Content {
  const { lives, order } = sequenceOf(plan);
  const opened = [...lives.values()].filter(({ events }) => events.some(({ act }) => act === 'disconnect'));
  const first = ({ events }: Life): number => events[0]!.operation.index;
  opened.sort((a, b) => order.compare(first(a), first(b)));
  return (
    opened.length > 0 &&
    html`<section class="newpage">
      <h2>Tags, one for each connector that is opened</h2>
      <p class="note">
        Cut out, tie on when it is opened, take off when the last box is ticked. Keep with the card.
      </p>
      <div class="tags">${opened.map((life) => tag(plan, life, number))}</div>
    </section>`
  );
}

const makerWords: Readonly<Record<Connector['makerCover'], string>> = {
  'dummy-plug': 'dummy plug',
  masking: 'masking',
  'not-stated': 'not stated',
};

function tag(plan: Plan, life: Life, number: string): Markup {
  const { connector, events } = life;
  const rule = connector.class && classRules[connector.class];
  const high = connector.class === 'high-voltage-power' || connector.class === 'interlock';
  const steps = (act: string): string =>
    listed(events.flatMap((event) => (event.act === act ? [event.operation.planStep.id] : [])));
  const opened = steps('disconnect');
  const closed = steps('reconnect');
  return html`<article class="tag">
    <div class="top">
      <span class="hole" aria-hidden="true"></span>
      <p class="plan">
        ${number}${opened !== '' && `, opened in ${opened}`}${closed !== '' && `, closed in ${closed}`}
      </p>
    </div>
    <h3>${connector.id}</h3>
    <p class="class">
      ${connector.name === connector.id ? '' : `${capital(connector.name)}. `}${rule ? capital(String(rule.words)) : 'No class stated'}${connector.zone !== undefined && `, in ${connector.zone}`}
    </p>
    <p>${cover(plan, life)} <span class="note">(maker: ${makerWords[connector.makerCover]})</span></p>
    <table>
      <thead>
        <tr>
          <th scope="col"><span class="label">Half</span></th>
          <th scope="col">open</th>
          <th scope="col">covered</th>
          <th scope="col">uncovered</th>
          <th scope="col">inspected</th>
          <th scope="col">clean</th>
          <th scope="col" class="initials">initials</th>
        </tr>
      </thead>
      <tbody>
        ${['Plug', 'Receptacle'].map(
          (half) =>
            html`<tr>
              <td>${half}</td>
              ${[1, 2, 3, 4, 5].map(() => html`<td><span class="box" role="img" aria-label="to tick"></span></td>`)}
              <td class="initials"></td>
            </tr>`,
        )}
      </tbody>
    </table>
    <p>${proofs(connector)}</p>
    ${warning(warningFor(connector), high ? 'voltage' : 'general')}
    <p class="foot">${blankLine('Taken off by')}${blankLine('date')}</p>
  </article>`;
}

function warningFor({ class: kind }: Connector): string {
  if (kind === 'high-voltage-power' || kind === 'interlock') {
    return 'High voltage. Hands off unless you are qualified and it is proven dead.';
  }
  return kind === 'restraint'
    ? "Restraint. 12 V battery off and the maker's wait over before it is touched."
    : 'Do not close over a cover, and not before it was inspected.';
}

const capital = (words: string): string => words.charAt(0).toUpperCase() + words.slice(1);

function cover(plan: Plan, { events }: Life): Content {
  const covers = events.filter(({ act }) => act === 'cover');
  if (covers.length === 0) return html`<b>The plan has no cover for it.</b>`;
  return html`Cover:
  ${covers
    .map(({ operation: { halves, using } }) => {
      const goods = goodsText(
        plan,
        using.map(({ value }) => value),
      );
      return `${goods === '' ? 'not named' : goods}${halves.length === 2 ? ', both halves' : `, ${halves[0]} half only`}`;
    })
    .join('; ')}`;
}

/** What the class asks after closing, as boxes and readings. */
function proofs({ class: kind, lock, resistance, newSeal, calibrate }: Connector): readonly Markup[] {
  const limit = resistance.limit?.text;
  const asked: Readonly<Record<ConnectorClass, readonly Markup[]>> = {
    'high-voltage-power': [
      blankLine('contact', `mΩ${limit === undefined ? '' : ` (limit ${limit})`}`),
      blankLine('insulation', 'MΩ'),
    ],
    interlock: [box('loop proven closed')],
    restraint: [box('scanned, no fault')],
    sensor: [box('seated'), box('scanned, no fault')],
    data: [box('seated'), box('scanned, no fault')],
    'low-voltage': [box('seated')],
    earth: [blankLine('bonding', 'mΩ')],
    'fluid-line': [box('leak-tested')],
  };
  return [
    ...(newSeal ? [box('new seal')] : []),
    ...(lock ? [box('locked')] : []),
    ...(kind ? asked[kind] : []),
    ...(calibrate ? [box('calibrated')] : []),
  ];
}
