/** Findings that somebody has accepted: all of them for the reviewer, those about the work for the technician. */
import { findingById } from '../../findings/registry.ts';
import { isAboutWork } from '../../findings/severity.ts';
import { say } from '../../language/phrase.ts';
import { judgedDay } from '../../plan/judged.ts';
import type { Plan } from '../../plan/plan.ts';
import { html } from './html.ts';
import type { Content, Markup } from './html.ts';
import { section } from './page.ts';
import { tableFrame } from './tables.ts';

/** Whether an acceptance is still valid on a day. */
export const holds = (until: string | undefined, today: string): boolean =>
  until !== undefined && today <= until;

/** All acceptances of a plan, for the reviewer. */
export function acceptances(plan: Plan, today: string): Content {
  if (plan.accepted.length === 0) return undefined;
  const { start, end } = acceptanceFrame(false);
  return section(say`Findings that are accepted`, html`${start}${acceptanceRows(plan, today)}${end}`);
}

/** The table around `acceptanceRows`; for several plans, with a column for the plan. */
export const acceptanceFrame = (ofMany: boolean): ReturnType<typeof tableFrame> =>
  tableFrame([
    ...(ofMany ? [say`Plan`] : []),
    ...[say`Finding`, say`Where`, say`Reason`, say`Accepted by`, say`Until`, say`State`],
  ]);

export const acceptanceRows = ({ accepted }: Plan, today: string, number?: string): readonly Markup[] =>
  accepted.map(
    ({ node, finding, at, until }) =>
      html`<tr>
        ${number !== undefined && html`<td class="nowrap">${number}</td>`}
        <td class="key">${finding.value}</td>
        <td>${at?.value ?? say`the whole plan`}</td>
        <td>${node.get('reason')?.value ?? ''}</td>
        <td>${node.get('by')?.value ?? ''}</td>
        <td class="nowrap">${until?.value ?? ''}</td>
        <td>${holds(until?.value, today) ? say`valid` : html`<span class="mark">${say`expired`}</span>`}</td>
      </tr>`,
  );

/** What was found about the order and the safety of the work and accepted: whoever works from the card must know. */
export function acceptedAtWork(plan: Plan, today: string): Content {
  const day = judgedDay(plan, today)!;
  const own = plan.accepted.flatMap((acceptance) => {
    const rule = findingById.get(acceptance.finding.value);
    return rule && isAboutWork(rule) && holds(acceptance.until?.value, day) ? [{ ...acceptance, rule }] : [];
  });
  if (own.length === 0) return undefined;
  const { start, end } = tableFrame([say`Found`, say`Where`, say`Reason`, say`Accepted by`, say`Until`]);
  const rows = own.map(
    ({ node, rule, at, until }) =>
      html`<tr>
        <td class="key">${rule.title}</td>
        <td>${at?.value ?? say`the whole plan`}</td>
        <td>${node.get('reason')?.value ?? ''}</td>
        <td>${node.get('by')?.value ?? ''}</td>
        <td class="nowrap">${until?.value ?? ''}</td>
      </tr>`,
  );
  return section(
    say`Found by the check and accepted`,
    html`<p class="note">
        ${say`These dangers are not removed, only accepted. Before such a step, speak with the person who accepted the danger, and follow the vehicle maker's procedure.`}
      </p>
      ${start}${rows}${end}`,
  );
}
