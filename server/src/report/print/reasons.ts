import { billOf } from '../../costing/bill.ts';
import type { LabourCharge } from '../../costing/bill.ts';
import { isAsPlanned, plannedSeconds } from '../../costing/planned.ts';
import { mapsIn } from '../../document/node.ts';
import { localizedNumber, andList, say } from '../../language/phrase.ts';
import type { Phrase } from '../../language/phrase.ts';
import type { Plan } from '../../plan/plan.ts';
import { connectorsOf, exact, references, scopeOfEstimate } from './estimate.ts';
import { html } from './html.ts';
import type { Content, Markup } from './html.ts';
import { planFields, printPage } from './page.ts';
import { photoMark, photoSection, photosOf } from './photos.ts';
import type { Photo, PhotoFiles } from './photos.ts';
import type { PrintOptions } from './page.ts';
import { workOn } from './task-words.ts';
import { headOf, timeText } from './words.ts';

export interface ReasonsOptions extends PrintOptions {
  readonly photos?: PhotoFiles;
}

const shows: Readonly<Record<'demand' | 'published-time', Phrase>> = {
  demand: say`asks for the work`,
  'published-time': say`says what the published time contains`,
};

/** One entry for each line that is claimed beside published times: why it is owed, and what shows it. */
export function reasonsPage(plan: Plan, options: ReasonsOptions): string {
  const head = headOf(plan);
  const bill = billOf(plan);
  const photos = photosOf(plan);
  const claimed = bill.labour.filter(({ basis }) => basis === 'not-included');
  const body = html`${planFields(head, [[say`Date`, options.today, 5]])}
    <p class="note">${scopeOfEstimate}</p>
    ${
      claimed.length === 0
        ? html`<p>${say`No line of the plan claims work beside a published time.`}</p>`
        : claimed.map((charge) => entry(plan, charge, photos))
    }${references(plan, { labour: claimed, materials: [] })}`;
  const photographs = photoSection(plan, photos, options.photos ?? new Map());
  return printPage(
    {
      kind: say`Reasons`,
      number: head.number,
      title: head.title,
      body,
      photographs,
      pictures: photos.length > 0,
    },
    options,
  );
}

function entry(plan: Plan, charge: LabourCharge, photos: readonly Photo[]): Markup {
  const { line, steps, task, hours, reference } = charge;
  const connectors = connectorsOf(plan, steps);
  const reason = line.node.get('reason')?.value;
  const cites = mapsIn(line.node.get('cites'));
  const lacking = html`<span class="mark">&#9670; ${say`not stated`}</span>`;
  return html`<section class="finding">
    <h3>
      ${steps.join(', ')}
      ${workOn(plan, task, connectors.length > 0 ? andList(connectors) : undefined)}${photoMark(photos, steps)}
    </h3>
    <p><b>${say`Why`}</b> ${reason ?? lacking}</p>
    <p>
      <b>${say`Documents`}</b>
      ${cites.length === 0 && (reference ?? lacking)}
    </p>
    ${
      cites.length > 0 &&
      html`<ol>
        ${cites.map((cite) => {
          const about = cite.get('about')?.value;
          const where = cite.get('where')?.value;
          return html`<li>
            ${cite.get('source')?.value}${where !== undefined && `, ${where}`}:
            “${cite.get('says')?.value}”${about && html` (${shows[about]})`}
          </li>`;
        })}
      </ol>`
    }${readings(plan, connectors, steps)}${timesText(plan, charge, reason)}
    ${hours && html`<p class="note">${say`Charged: ${exact(hours)} h`}</p>`}
  </section>`;
}

/** The readings that the line's steps came to. */
function readings(plan: Plan, connectors: readonly string[], steps: readonly string[]): Content {
  const own = plan.measurements.filter(
    ({ connector, node }) =>
      connectors.includes(connector.value) && steps.includes(node.get('after')?.value?.split('/')[0] ?? ''),
  );
  if (own.length === 0) return undefined;
  return html`<p>
    <b>${say`Readings`}</b>
    ${own
      .map(({ connector, value, uncertainty }) =>
        [connector.value, value?.text ?? '', ...(uncertainty ? [`± ${uncertainty.text}`] : [])].join(' '),
      )
      .join('; ')}
  </p>`;
}

/** Planned step time beside paid hours, where they differ; a person asks why. */
function timesText(plan: Plan, { line, hours }: LabourCharge, reason: string | undefined): Content {
  const planned = plannedSeconds(plan, line);
  if (!hours || planned === undefined || isAsPlanned(planned, line)) return undefined;
  return html`<p class="note">
    ${reason === undefined && html`&#9670; `}${say`The steps are planned to take ${timeText(planned * 1000)}; the line bills ${localizedNumber(hours.toFixed())} h.`}
    ${reason === undefined && say`No reason is given for the difference.`}
  </p>`;
}
