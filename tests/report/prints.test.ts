import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { caution } from '../../server/src/features/caution.ts';
import { check } from '../../server/src/features/check.ts';
import { estimateCsv, estimateJson, textCell } from '../../server/src/report/print/estimate-data.ts';
import { estimate } from '../../server/src/report/print/estimate.ts';
import { folderParts, folderReview } from '../../server/src/report/print/folder-review.ts';
import type { FolderPart } from '../../server/src/report/print/folder-review.ts';
import { cssString, html } from '../../server/src/report/print/html.ts';
import { jobCard } from '../../server/src/report/print/job-card.ts';
import { owedPage } from '../../server/src/report/print/owed.ts';
import { reasonsPage } from '../../server/src/report/print/reasons.ts';
import { supplement } from '../../server/src/report/print/supplement.ts';
import { compare } from '../../server/src/compare/compare.ts';
import { review } from '../../server/src/report/print/review.ts';
import { timelinePicture } from '../../server/src/report/print/timeline.ts';
import type { Workspace } from '../../server/src/workspace/workspace.ts';
import { sampleUri, sampleWorkspace, workspaceOf } from '../support/files.ts';
import { exampleFiles, wholePlan } from '../support/frame.ts';

const options = { today: '2027-02-05', caution };
const uri = 'file:///plans/a.repair-plan.yaml';

const planOf = (lines: string) =>
  workspaceOf({ ...exampleFiles, 'a.repair-plan.yaml': wholePlan(lines) }).plan(uri)!;

function prints(workspace: Workspace, of: string): Record<string, string> {
  const plan = workspace.plan(of)!;
  const findings = check(workspace, of, { today: options.today });
  const reviewing = { ...options, sources: workspace, name: (file: string) => file };
  const errors = findings.filter(({ severity }) => severity === 'error').length;
  return {
    'job card': jobCard(plan, { ...options, errors }),
    estimate: estimate(plan, options),
    reasons: reasonsPage(plan, options),
    owed: owedPage(plan, options),
    review: review({ plan, findings }, reviewing),
    folder: folderReview({ name: 'plans', files: [{ plan, findings }], unread: [] }, reviewing),
  };
}

/** What a reader sees, tags taken out and white space evened. */
const seen = (page: string): string =>
  page
    .replace(/<style>.*?<\/style>/gs, '')
    .replace(/<span class="id">(.*?)<\/span>/g, '$1')
    .replace(/<[^>]*>/g, ' ')
    .replaceAll('&#39;', "'")
    .replaceAll('&amp;', '&')
    .replace(/\s+/g, ' ');

const samples = ['quarter-panel', 'quarter-panel-faulty', 'hybrid-door'].map((name) =>
  sampleUri(`${name}.repair-plan.yaml`),
);

it('a job card says how many steps its shortest time leaves out', () => {
  const card = (last: string): string =>
    seen(
      jobCard(planOf(`operations:\n  - { id: op10, do: consult, time: 5 min }\n${last}`), {
        ...options,
        errors: 0,
      }),
    );
  expect(card('')).not.toContain('without a time');
  expect(card('  - { id: op20, do: polish }\n')).toContain('5 min and 1 step without a time');
  expect(card('  - { id: op20, do: polish }\n  - { id: op30, do: wash }\n')).toContain(
    '5 min and 2 steps without a time',
  );
});

it('a job card says where a lowered battery is put down', () => {
  const card = (step: string): string =>
    seen(jobCard(planOf(`operations:\n  - { id: op10, ${step} }\n`), { ...options, errors: 0 }));
  expect(card('do: lower-battery, put-down: battery-store')).toContain(
    'Lower the traction battery and put down in battery store',
  );
  expect(card('do: lower-battery')).not.toContain('put down in');
});

describe('every print', () => {
  const workspace = sampleWorkspace();
  const all = samples.flatMap((of) => Object.entries(prints(workspace, of)));

  it('needs no script and nothing from outside', () => {
    for (const [, page] of all) {
      expect(page).not.toMatch(/<script|<link|<img|<iframe|\son[a-z]+\s*=|javascript:|@import|\bsrc=/i);
      expect(page.replaceAll('http://www.w3.org/2000/svg', '')).not.toMatch(/https?:|url\((?!#)/);
      expect(page).toContain("default-src 'none'");
    }
  });

  it('carries the caution, a language, one first heading, and headings of every table column', () => {
    for (const [, page] of all) {
      expect(seen(page)).toContain(String(caution));
      expect(page).toContain('<html lang="en">');
      expect(page.match(/<h1>/g)).toHaveLength(1);
      for (const [head] of page.matchAll(/<th[ >][^>]*>/g)) expect(head).toContain('scope="col"');
    }
  });

  it('cautions first where people work or release by it, and fills the rows of its form', () => {
    for (const [kind, page] of all) {
      const [warned, form] = [page.indexOf('<div class="caution"'), page.indexOf('<dl class="fields">')];
      expect([kind, warned < form]).toEqual([kind, ['job card', 'review', 'folder'].includes(kind)]);
      const cells = page.slice(form, page.indexOf('</dl>', form)).matchAll(/<div(?: class="span(\d)")?>/g);
      let at = 0;
      for (const [, span] of cells) {
        // Six columns; a cell that does not fit begins the next row and leaves a gap.
        expect([kind, (at % 6) + Number(span ?? 1) <= 6]).toEqual([kind, true]);
        at += Number(span ?? 1);
      }
      expect([kind, at % 6]).toEqual([kind, 0]);
    }
  });

  it('opens and closes its elements in order', () => {
    const empty = new Set(['meta', 'br', 'path', 'rect', 'circle']);
    for (const [, page] of all) {
      const open: string[] = [];
      for (const [tag, slash, name, end] of page.matchAll(/<(\/?)([a-z][a-z0-9-]*)\b[^>]*?(\/?)>/gi)) {
        if (slash) expect([tag, open.pop()]).toEqual([tag, name]);
        else if (!end && !empty.has(name!)) open.push(name!);
      }
      expect(open).toEqual([]);
    }
  });

  it('says when the text of the plan is broken, and never throws on half a plan', () => {
    const text = workspace.text(samples[1]!)!;
    for (let cut = 0; cut < text.length; cut += 487) {
      const half = sampleWorkspace();
      half.set(samples[1]!, text.slice(0, cut));
      if (half.plan(samples[1]!)) expect(Object.keys(prints(half, samples[1]!))).toHaveLength(6);
    }
    const broken = prints(workspaceOf({ 'a.repair-plan.yaml': 'plan: X-1\noperations: [\n' }), uri);
    expect(seen(broken['job card']!)).toContain('Not released for work');
  });
});

it('a parameter in the note of a procedure is what the plan fills in', () => {
  const files = {
    'p.shop-procedure.yaml':
      "procedure: p\nparameters: [{ name: on, kind: connectors }, { name: wait, kind: time, default: 5 min }, { name: more, kind: text, default: [] }]\noperations: [{ id: s1, do: consult, note: 'Open $on after $wait, for $20: $more$other.' }]\n",
    'a.repair-plan.yaml': wholePlan(
      'uses: [./p.shop-procedure.yaml]\noperations:\n  - { id: op10, follow: p, with: { on: [inverter-dc, hv-interlock] } }\n  - { id: op20, do: consult, note: Keep $wait as it is }\n',
    ),
  };
  const card = seen(prints(workspaceOf({ ...exampleFiles, ...files }), uri)['job card']!);
  expect(card).toContain('Open inverter-dc, hv-interlock after 5 min, for $20: $more$other.');
  expect(card).toContain('Keep $wait as it is');
});

describe('texts of a plan', () => {
  const hostile = `\u202e</title></style><script>alert(1)</script>"'&\u202e<img src=x onerror=alert(1)>`;
  const quoted = JSON.stringify(hostile);

  it('never become markup, wherever they occur', () => {
    const lines = `plan: ${quoted}
title: ${quoted}
vehicle: { description: ${quoted}, propulsion: hybrid, vin: ${quoted} }
sources: [{ id: S1, title: ${quoted}, where: ${quoted}, edition: ${quoted} }]
connectors:
  - { id: loop, name: ${quoted}, class: interlock, zone: cabin }
operations:
  - { id: op20, do: disconnect, connectors: [loop], by: ${quoted}, note: ${quoted}, time: 5 min }
  - { id: op30, do: grind, zone: cabin, by: ${quoted}, after: [] }
labour:
  - { for: op20, hours: 1, rate: electrical, reference: ${quoted}, basis: not-included }
accepted:
  - { finding: late-cover, reason: ${quoted}, by: ${quoted}, until: 2027-01-01 }
sign-offs:
  - { role: reviewer, name: ${quoted}, date: 2027-01-01 }
`;
    const workspace = workspaceOf({ ...exampleFiles, 'a.repair-plan.yaml': wholePlan(lines) });
    for (const page of Object.values(prints(workspace, uri))) {
      expect(page).not.toMatch(/<script|<img/i);
      expect(page).not.toContain('\u202e');
      expect(page).toContain('&lt;script&gt;');
      expect(page.match(/<\/style>/g)!.length).toBe(page.match(/<style>/g)!.length);
    }
  });

  it('are escaped for HTML and for style sheets (characters of each syntax never survive)', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'binary', maxLength: 40 }), (text) => {
        const inside = String(html`<p title="${text}">${text}</p>`).slice(
          '<p title="'.length,
          -'</p>'.length,
        );
        expect(inside.replace('">', '')).not.toMatch(/[<>"']/);
        expect(cssString(text).slice(1, -1)).not.toMatch(/["<>\n\r\f{};]/);
      }),
    );
  });
});

describe('the state of the vehicle', () => {
  const state = (vehicle: string): string =>
    wholePlan(`vehicle: { description: Kestrel (invented), propulsion: battery-electric, system-voltage: 400 V${vehicle} }
sources: [{ id: S1, title: Gateways (invented), publisher: vehicle-maker, consulted: 2027-02-03 }]
operations:
  - { id: op16, do: prove-dead, proven-at: rear inverter input }
  - { id: op18, do: prove-dead }
`);

  it('stands in every print of a plan, with why no scan is possible', () => {
    const text = state(
      ', arrived-as: [wet, network-dead], scan: { not-possible: The gateway is burnt., source: S1 }',
    );
    const workspace = workspaceOf({ ...exampleFiles, 'a.repair-plan.yaml': text });
    for (const [name, page] of Object.entries(prints(workspace, uri)).filter(([one]) => one !== 'folder')) {
      expect(seen(page), name).toContain('Came in wet and with a dead data network');
      expect(seen(page), name).toContain('Not possible: The gateway is burnt. (S1)');
    }
  });

  it('is left out where nothing is stated', () => {
    const workspace = workspaceOf({ ...exampleFiles, 'a.repair-plan.yaml': state('') });
    for (const page of Object.values(prints(workspace, uri))) {
      expect(seen(page)).not.toContain('Came in');
      expect(seen(page)).not.toContain('Not possible');
    }
  });

  it('says where it is proven dead, and leaves a line for it otherwise', () => {
    const workspace = workspaceOf({ ...exampleFiles, 'a.repair-plan.yaml': state('') });
    const card = seen(prints(workspace, uri)['job card']!);
    expect(card).toContain('Measured at: rear inverter input');
    expect(card).toContain('measured at');
  });
});

describe('the job card', () => {
  const workspace = sampleWorkspace();
  const card = (of: string): string => prints(workspace, of)['job card']!;
  const lines = (page: string): string[] =>
    [...page.matchAll(/<span class="step">(.*?)<\/span><\/td>/g)].map(([, id]) =>
      id!.replaceAll(/<[^>]*>/g, ''),
    );

  it('has every step once, makes safe first and keeps the order of the plan', () => {
    const plan = workspace.plan(samples[0]!)!;
    const steps = lines(card(samples[0]!));
    expect([...steps].sort()).toEqual(plan.operations.map(({ id }) => id).sort());
    expect(steps.slice(0, 6).every((id) => id.startsWith('op10/'))).toBe(true);
    const position = new Map(steps.map((id, i) => [id, i]));
    const { predecessors, nodes } = plan.network;
    for (const [i, operation] of plan.operations.entries()) {
      for (const before of predecessors[nodes[i]!]!) {
        const earlier = plan.operations[nodes.indexOf(before)];
        if (earlier) expect(position.get(earlier.id)).toBeLessThan(position.get(operation.id)!);
      }
    }
  });

  it('makes safe first even where other work may start at once, and only with a proof', () => {
    const madeSafe = (proof: string): string =>
      jobCard(
        planOf(`operations:
  - { id: op10, do: remove, zone: doors }
  - { id: op20, do: isolate, after: [] }
  - { id: op30, do: ${proof} }
  - { id: op40, do: isolate, after: [op10] }
`),
        { ...options, errors: 0 },
      );
    expect(lines(madeSafe('prove-dead'))).toEqual(['op20', 'op30', 'op10', 'op40']);
    expect(lines(madeSafe('prove-dead').split('</section>')[0]!)).toEqual(['op20', 'op30']);
    expect(madeSafe('lock-out')).not.toContain('Make safe first');
  });

  it('makes safe by the shutting down and the service plug as well, and says what stays live', () => {
    const page = jobCard(
      planOf(`connectors:
  - { id: service-plug, class: high-voltage-power, zone: rear-floor, isolates: true }
  - { id: inverter-dc, class: high-voltage-power, zone: rear-floor }
operations:
  - { id: op10, do: shut-down }
  - { id: op20, do: disconnect, connectors: [service-plug] }
  - { id: op30, do: cover, connectors: [service-plug], using: dummy-plug }
  - { id: op40, do: prove-dead }
  - { id: op50, do: disconnect, connectors: [service-plug, inverter-dc] }
`),
      { ...options, errors: 0 },
    );
    const frame = page.split('</section>')[0]!;
    expect(lines(frame)).toEqual(['op10', 'op20', 'op30', 'op40']);
    expect(seen(frame)).toContain('The traction battery stays live even then.');
    // Opening what isolates comes before the proof.
    expect(seen(page)).not.toContain('opens a high-voltage connector, and nothing before it proves');
  });

  it('has a tag for every connector that is opened, and for no other', () => {
    const tagged = [...card(samples[0]!).matchAll(/<article class="tag">.*?<h3>([^<]*)<\/h3>/gs)].map(
      ([, id]) => id,
    );
    expect(tagged.sort()).toEqual(
      ['charge-inlet', 'curtain-airbag-left', 'hv-interlock', 'inverter-dc', 'parking-sensor-left'].sort(),
    );
  });

  it('shows who may work in parallel, and only if the order allows it', () => {
    const page = planOf(`operations:
  - { id: op10, do: mask, zone: roof, by: painter-c }
  - { id: op20, do: remove, zone: doors, by: technician-b, after: [] }
  - { id: op30, do: fill, zone: doors, by: technician-b }
  - { id: op40, do: paint, zone: roof, by: painter-c, after: [op10, op30] }
`);
    const row = (id: string): string =>
      seen(
        jobCard(page, { ...options, errors: 0 })
          .split(`<span class="step">${id}</span>`)[1]!
          .split('</tr>')[0]!,
      );
    expect(row('op10')).toMatch(/May be done at the same time as op20 \(technician-b, .*\) and op30/);
    expect(row('op30')).toContain('May be done at the same time as op10 (painter-c');
    expect(row('op40')).not.toContain('May be done at the same time as');
  });

  it('is not released while errors are open, steps are unknown, or nothing proves the vehicle dead', () => {
    const safe = `operations:
  - { id: op05, do: isolate }
  - { id: op10, do: prove-dead }
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
`;
    const first = (lines: string, errors = 0): string => seen(jobCard(planOf(lines), { ...options, errors }));
    expect(first(safe)).not.toContain('Not released');
    expect(first(safe, 2)).toContain('2 errors found by the check are still open');
    const lax = 'uses: [./example.rate-sheet.yaml, ./lax.rate-sheet.yaml]\n';
    expect(first(lax + safe)).toMatch(/Not released .* switch off or lower .*: High voltage [^.]*\./);
    expect(first(safe.replace('  - { id: op10, do: prove-dead }\n', ''))).toContain(
      'op20 opens a high-voltage connector, and nothing before it proves the high-voltage system dead.',
    );
    expect(first(`${safe}  - { id: op30, follow: unheard-of }\n`)).toContain('op30 follows unheard-of');
    expect(first(safe.replace('prove-dead }', 'prove-dead, after: [op20] }'))).toContain(
      'Steps of the plan wait for each other',
    );
  });

  it('sets beside each reading the value at which work stops and where that comes from, and lets none permit', () => {
    const step = (page: string, id: string): string =>
      seen(page.split(`<span class="step">${id}`).slice(1).join('').split('</tr>')[0]!);
    const sample = card(samples[0]!);
    // 0.4 and 0.5 mΩ and K1 stand in the sample's list; 100 Ω/V (UN R100, 5.1.3) at 400 V are 40 kΩ.
    expect(step(sample, 'op220')).toMatch(
      /charge-inlet .*stop above 0\.4 mΩ \(K1\).*stop above 0\.5 mΩ \(K1\)/,
    );
    expect(step(sample, 'op230')).toContain('Stop below 200 kΩ (500 Ω/V at 400 V DC, UN R100');
    // High voltage begins above 60 V DC and 30 V AC (UN R100).
    const proof = (kind: string): string =>
      seen(
        jobCard(
          planOf(`vehicle: { description: Kestrel, system-voltage: 400 V, voltage-kind: ${kind} }
connectors:
  - { id: loop, class: high-voltage-power, zone: cabin, insulation-limit: 5 MΩ, source: M1 }
  - { id: spare, class: high-voltage-power, zone: cabin, resistance: { limit: 0.2 mΩ } }
operations:
  - { id: op10, do: prove-dead }
  - { id: op20, do: measure-insulation, connectors: [loop] }
  - { id: op30, do: measure-resistance, connectors: [loop, spare] }
  - { id: op40, do: wash, zone: cabin }
`),
          { ...options, errors: 0 },
        ),
      );
    expect(proof('direct')).toContain('Stop if any reading is above 60 V DC');
    const alternating = proof('alternating');
    expect(alternating).toContain('Stop if any reading is above 30 V AC');
    expect(alternating).toContain('stop below 5 MΩ (M1)');
    expect(alternating).toContain('the plan states no limit');
    expect(alternating).toContain('stop above 0.2 mΩ (stated without a source)');
    expect(alternating).toContain('No pressure washer near high-voltage (orange) parts');
    expect(alternating.match(/No reading permits anything by itself/g)).toHaveLength(3);
  });

  it('asks for the covers of what is open before dust is raised', () => {
    const page = seen(card(samples[0]!).split('<span class="step">op60</span>')[1]!.split('</tr>')[0]!);
    expect(page).toContain('Covers in place and undamaged? inverter-dc, charge-inlet, hv-interlock');
  });

  it('asks for the covers of what is open before trim is moved in the same zone', () => {
    const page = seen(
      jobCard(
        planOf(`connectors:
  - { id: heater-hv, class: high-voltage-power, zone: cabin }
  - { id: sensor, class: sensor, zone: cabin }
operations:
  - { id: op10, do: remove, zone: cabin }
  - { id: op20, do: disconnect, connectors: [heater-hv] }
  - { id: op30, do: cover, connectors: [heater-hv], using: orange-tape }
  - { id: op35, do: cover, connectors: [sensor], using: orange-tape }
  - { id: op40, do: refit, zone: cabin }
  - { id: op45, do: refit, zone: roof }
  - { id: op50, do: reconnect, connectors: [heater-hv] }
  - { id: op60, do: refit, zone: cabin }
`),
        { ...options, errors: 0 },
      ),
    );
    const steps = page
      .split(/(?=op\d\d\b)/)
      .filter((part) => part.includes('Covers in place and undamaged? heater-hv'));
    expect(steps.map((part) => part.slice(0, 4))).toEqual(['op40']);
  });

  it('says which errors and warnings about the work are still open, errors first, and nothing of the bill', () => {
    const open = (...of: readonly [finding: string, severity: 'error' | 'warning' | 'information'][]) =>
      seen(
        jobCard(planOf('operations:\n  - { id: op20, do: paint, zone: roof }\n'), {
          ...options,
          errors: 0,
          findings: of.map(([finding, severity], i) => ({ finding, severity, message: `told ${i}.` })),
        }),
      );
    const told = open(
      ['not-at-once', 'warning'],
      ['labour-missing', 'warning'],
      ['weak-cover', 'information'],
      ['sign-off-missing', 'warning'],
    );
    expect(told).toContain('Found by the check and still open');
    expect(told).toContain('told 0.');
    expect(told).not.toMatch(/told [123]/);
    expect(open(['labour-missing', 'warning'], ['labour-orphan', 'error'])).not.toContain('still open');
    expect(open(['not-at-once', 'warning'], ['resistance-high', 'error'])).toMatch(/told 1\. .*told 0\./);
    const many = open(...Array.from({ length: 10 }, (): [string, 'warning'] => ['late-cover', 'warning']));
    expect(many).toContain('told 7.');
    expect(many).not.toContain('told 8.');
    expect(many).toContain('2 more stand in the review.');
  });

  it('says which dangers were found and accepted, with the reason, the person and the last day', () => {
    const card = (accepted: string): string =>
      seen(
        jobCard(
          planOf(`operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
accepted:
  - { ${accepted}, reason: No other way., by: Lead technician, until: 2027-02-05 }
`),
          { ...options, errors: 0 },
        ),
      );
    expect(card('finding: live-opening, at: op20')).toMatch(
      /Found by the check and accepted .* op20 No other way\. Lead technician 2027-02-05/,
    );
    expect(card('finding: live-opening')).toContain('the whole plan');
    // One that has run out is told by the check again, and one about the bill concerns the desk.
    expect(
      seen(
        jobCard(planOf('accepted:\n  - { finding: live-opening, reason: No., by: A, until: 2027-02-04 }\n'), {
          ...options,
          errors: 0,
        }),
      ),
    ).not.toContain('Found by the check and accepted');
    expect(card('finding: labour-missing, at: op20')).not.toContain('Found by the check and accepted');
  });
});

describe('the estimate', () => {
  const workspace = sampleWorkspace();

  it('shows the totals of the clean sample, added up by hand', () => {
    // Hours: 0.6+0.3+0.1+0.1+0.1+0.2+0.1+0.1+0.1+0.4+0.5+0.5+0.4+0.2+0.1+0.1+0.5+0.3 = 4.7; 4.7 × 96.00 = 451.20.
    // Plugs 4 × 14.50, tape 6 × 0.60, bags 6 × 0.90: 67.00. VAT 20 % of 518.20 = 103.64.
    const page = seen(prints(workspace, samples[0]!)['estimate']!);
    for (const words of [
      'Total labour 451.20',
      'Total materials 67.00',
      'VAT, 20 % 103.64',
      'Additional work in EUR 621.84',
      'op26 Cover inverter-dc',
    ]) {
      expect(page).toContain(words);
    }
    expect(page).toContain(
      'Parts, body and paint work, and whatever else the repair needs are priced elsewhere.',
    );
  });

  it('keeps the money at stake to a page of the shop', () => {
    const plan = workspace.plan(samples[1]!)!;
    expect(seen(estimate(plan, options))).not.toMatch(/not yet billed/i);
    expect(estimateCsv(plan)).not.toContain('missing');
    const page = seen(owedPage(plan, options));
    expect(page).toContain('op220 Measure contact resistance 0.4 h 38.40');
    expect(page).toContain('Not yet billed, before tax 38.40 EUR');
    expect(seen(owedPage(workspace.plan(samples[0]!)!, options))).toContain('Not yet billed None');
  });

  it('is not released for work while errors are open', () => {
    const plan = workspace.plan(samples[1]!)!;
    expect(seen(estimate(plan, { ...options, errors: 2 }))).toContain(
      '2 errors found by the check are still open',
    );
    expect(seen(estimate(plan, options))).not.toContain('still open');
  });

  it('gives each claimed line its reason, its documents, its readings and the other time', () => {
    const plan = planOf(`operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc], time: 0.5 h }
  - { id: op30, do: measure-resistance, connectors: [inverter-dc], time: 18 min }
labour:
  - for: op20
    task: disconnect
    hours: 0.3
    rate: electrical
    basis: not-included
    reference: T1
    reason: The connector crosses the panel that is cut.
    cites: [{ source: T1, where: table 2, says: Timed by itself., about: published-time }]
  - { for: op30, task: measure-resistance, hours: 0.3, rate: electrical, basis: not-included }
measurements:
  - { connector: inverter-dc, after: op30, method: four-wire, value: 0.31 mΩ, uncertainty: 0.02 mΩ }
`);
    const page = seen(reasonsPage(plan, options));
    expect(page).toContain('Why The connector crosses the panel that is cut.');
    expect(page).toContain('T1, table 2: “Timed by itself.” (says what the published time contains)');
    expect(page).toContain('The steps are planned to take 30 min; the line bills 0.3 h.');
    expect(page).toContain('Why &#9670; not stated');
    expect(page).toContain('inverter-dc 0.31 mΩ ± 0.02 mΩ');
    // 18 min are 0.3 h.
    expect(page).not.toContain('planned to take 18 min');
    expect(seen(estimate(plan, options))).toContain('The connector crosses the panel that is cut.');
  });

  it('has a supplement with the changed lines alone, which come to the difference', () => {
    const [old, now] = [samples[1]!, samples[0]!].map((of) => ({
      plan: workspace.plan(of)!,
      findings: check(workspace, of, { today: options.today }),
      text: (one: string) => workspace.text(one),
    }));
    const page = seen(supplement(compare(old!, now!), { ...options, old: 'first', new: 'second' }));
    expect(page).toContain(
      'op220 Measure contact resistance charge-inlet, inverter-dc T1 – 0.4 h, 38.40 +38.40',
    );
    expect(page).not.toContain('op230');
    // 621.84 less 516.12, as both estimates say.
    expect(page).toContain('Difference in EUR +105.72');
  });

  it('marks a not-included line without a reference, and what has no amount', () => {
    const plan = planOf(`operations:
  - { id: op20, do: disconnect, connectors: [inverter-dc] }
labour:
  - { for: op20, task: disconnect, hours: 0.3, rate: electrical, basis: not-included }
  - { for: op20, task: disconnect, hours: fill-in, rate: electrical, basis: included, reference: T1 }
  - { for: op20, task: inspect, hours: fill-in, rate: electrical, reference: T9 }
`);
    const page = seen(estimate(plan, options));
    expect(page).toContain('1 “not included” line has no reference');
    expect(page).toContain('without 1 line that has no amount');
    expect(page).toContain('T9 not among the documents of the plan');
  });

  it('is a table of as many cells in every row for a spreadsheet, with lines that add up to the total', () => {
    for (const of of samples) {
      const csv = estimateCsv(workspace.plan(of)!);
      expect(csv.startsWith('\ufeffplan,kind,')).toBe(true);
      expect(csv.endsWith('\r\n')).toBe(true);
      const rows = parseCsv(csv.slice(1));
      expect(new Set(rows.map((row) => row.length)).size).toBe(1);
      const cents = (kind: string): number =>
        rows
          .filter((row) => row[1] === kind)
          .reduce((sum, row) => sum + Math.round(Number(row[10]) * 100), 0);
      const total = rows.find((row) => row[1] === 'total' && row[3] === 'total')!;
      expect(cents('labour') + cents('material') + cents('tax')).toBe(Math.round(Number(total[10]) * 100));
    }
  });

  it('never hands a spreadsheet a formula (OWASP, CSV injection: = + - @ tab and return, full-width too)', () => {
    fc.assert(
      fc.property(
        fc.tuple(
          fc.constantFrom('=', '+', '-', '@', '\t', '\r', '\n', '＝', '＋', '－', '＠', ' =', ''),
          fc.string({ unit: 'binary', maxLength: 20 }),
        ),
        ([start, rest]) => {
          const [[cell] = []] = parseCsv(`${textCell(start + rest)}\r\n`);
          expect(cell).not.toMatch(/^\s*[=+\-@\uff1d\uff0b\uff0d\uff20]/);
          expect(parseCsv(`a,${textCell(start + rest)},b\r\n`)).toHaveLength(1);
          expect(parseCsv(`a,${textCell(start + rest)},b\r\n`)[0]).toHaveLength(3);
        },
      ),
    );
  });

  it('is exact in JSON, amounts as text', () => {
    const report = JSON.parse(estimateJson(workspace.plan(samples[1]!)!, { version: '1' })) as {
      labour: { operations: string[]; amount: string }[];
      atStake: { amount: string; labour: { operation: string; amount: string }[] };
      totals: { gross: { amount: string } };
    };
    expect(report.labour[1]).toMatchObject({
      operations: ['op20'],
      hours: '0.3',
      perHour: '96',
      amount: '28.80',
    });
    expect(report.atStake.labour).toContainEqual(
      expect.objectContaining({ operation: 'op220', amount: '38.40' }),
    );
    expect(report.totals.gross.amount).toMatch(/^\d+\.\d{2}$/);
  });
});

/** Reads comma-separated values as RFC 4180 writes them. */
function parseCsv(text: string): string[][] {
  const rows: string[][] = [];
  const row: string[] = [];
  for (let at = 0; at < text.length;) {
    const [whole, quotedCell, plainCell = '', end] = /^(?:"((?:[^"]|"")*)"|([^,\r\n"]*))(,|\r\n|$)/.exec(
      text.slice(at),
    )!;
    row.push(quotedCell?.replaceAll('""', '"') ?? plainCell);
    at += whole.length;
    if (end !== ',') rows.push(row.splice(0));
  }
  return rows;
}

describe('the review', () => {
  const workspace = sampleWorkspace();

  it('has every finding with its trace, the most severe first', () => {
    const of = samples[1]!;
    const page = seen(prints(workspace, of)['review']!);
    const findings = check(workspace, of, { today: options.today });
    for (const { message, trace } of findings) {
      expect(page).toContain(message);
      for (const step of trace) expect(page).toContain(step.message);
    }
    const grades = [...prints(workspace, of)['review']!.matchAll(/class="grade (\w+)"/g)].map(
      ([, grade]) => grade,
    );
    expect(grades).toEqual(
      ['error', 'warning', 'information'].flatMap((grade) =>
        findings.flatMap(({ severity }) => (severity === grade ? [grade] : [])),
      ),
    );
  });

  it('shows which acceptance has expired and which sign-off is missing', () => {
    const lines = (until: string): string => `operations: [{ id: op10, do: mask, zone: roof }]
accepted: [{ finding: weak-cover, reason: None fits., by: Lead, until: ${until} }]
`;
    const page = (until: string): string => {
      const plan = planOf(lines(until));
      return seen(
        review({ plan, findings: [] }, { ...options, sources: sampleWorkspace(), name: (file) => file }),
      );
    };
    // The last day still counts.
    expect(page('2027-02-05')).toContain('2027-02-05 valid');
    expect(page('2027-02-04')).toContain('expired');
    expect(seen(prints(workspace, samples[2]!)['review']!)).toContain('high-voltage technician missing');
  });

  it('of a folder puts the worst plan first and adds everything up', () => {
    const files = samples.map((of) => ({
      plan: workspace.plan(of)!,
      findings: check(workspace, of, { today: options.today }),
    }));
    const page = folderReview(
      { name: 'plans', files, unread: [{ uri: 'file:///gone', reason: 'there is no such file' }] },
      { ...options, sources: workspace, name: (file) => file },
    );
    const order = ['HL-0148', 'HL-0151', 'HL-0147'].map((number) => page.indexOf(`>${number}<`));
    expect([...order].sort((a, b) => a - b)).toEqual(order);
    const errors = files.flatMap(({ findings }) =>
      findings.filter(({ severity }) => severity === 'error'),
    ).length;
    expect(seen(page)).toContain(`Errors ${errors} `);
    expect(seen(page)).toContain('file:///gone: there is no such file.');
  });

  describe('of a folder', () => {
    const accepting = (until: string): string => `operations: [{ id: op10, do: mask, zone: roof }]
accepted: [{ finding: weak-cover, reason: None fits until ${until}., by: Lead, until: ${until} }]
`;
    const own = workspaceOf({
      ...exampleFiles,
      'a.repair-plan.yaml': wholePlan(accepting('2028-01-01')),
      'b.repair-plan.yaml': wholePlan(accepting('2027-01-01')),
    });
    const files = [workspace, own].flatMap((one) =>
      [...one.uris].flatMap((of) => {
        const plan = one.plan(of);
        return plan ? [{ plan, findings: check(one, of, { today: options.today }) }] : [];
      }),
    );
    const page = (only?: readonly FolderPart[]): string =>
      folderReview(
        { name: 'plans', files, unread: [], ...(only && { only }) },
        { ...options, sources: workspace, name: (file) => file },
      );
    const parts = (text: string): string[] =>
      [...text.matchAll(/<section class="part" id="([\w-]+)"/g)].map(([, id]) => id!);

    it('has contents, and every link leads to its place', () => {
      const whole = page();
      const ids = [...whole.matchAll(/ id="([\w-]+)"/g)].map(([, id]) => id!);
      const links = [...whole.matchAll(/href="#([\w-]+)"/g)].map(([, id]) => id!);
      expect(new Set(ids).size).toBe(ids.length);
      expect(parts(whole)).toEqual([...folderParts]);
      expect(links.slice(0, folderParts.length)).toEqual([...folderParts]);
      expect(links.filter((id) => !ids.includes(id))).toEqual([]);
    });

    it.each(folderParts)('prints %s alone when asked, with no link to what is left out', (part) => {
      const alone = page([part]);
      expect(parts(alone)).toEqual([part]);
      expect(seen(alone)).toContain('Errors ');
      for (const [, id] of alone.matchAll(/href="#([\w-]+)"/g)) expect(alone).toContain(` id="${id}"`);
    });

    it('counts each kind of finding as often as it occurs', () => {
      const rows = [...page(['by-finding']).matchAll(/<tr>\s*<td class="nowrap [^]*?<\/tr>/g)].map(
        ([row]) => row,
      );
      const counted = rows.map((row) => [
        /nowrap">([a-z-]+)<\/span>/.exec(row)![1],
        Number(/num key">(\d+)</.exec(row)![1]),
      ]);
      const expected = new Map<string, number>();
      for (const { finding } of files.flatMap(({ findings }) => findings)) {
        expected.set(finding, (expected.get(finding) ?? 0) + 1);
      }
      expect(new Map(counted as [string, number][])).toEqual(expected);
    });

    it('lists expired acceptances before valid ones', () => {
      const text = seen(page(['acceptances']));
      expect(text).toMatch(/until 2027-01-01\..* expired .*until 2028-01-01\..* valid/);
    });
  });
});

describe('the time line', () => {
  const workspace = sampleWorkspace();
  const picture = (of: string): string => String(timelinePicture(workspace.plan(of)!));

  it('has a lane for every connector that a step names or that work may knock loose', () => {
    const lanes = [...picture(samples[2]!).matchAll(/<g class="lane"[^>]*><title>([^:<]*)/g)].map(
      ([, id]) => id,
    );
    expect(lanes).toEqual(['door-harness', 'cooling-pump']);
  });

  it('says what is exposed in words, not only by shade', () => {
    expect(picture(samples[0]!)).toContain('No connector is exposed.');
    const faulty = picture(samples[1]!);
    expect(faulty).toContain('exposed: op170');
    expect(faulty).toMatch(/Exposed: [^.]*hv-interlock/);
  });

  it('leads each part to its step in the text', () => {
    const text = workspace.text(samples[0]!)!;
    const places = [...picture(samples[0]!).matchAll(/data-from="(\d+)" data-spans="([\d -]+)"/g)];
    expect(places.length).toBeGreaterThan(40);
    for (const [, from, spans] of places) {
      expect(text.slice(Number(from))).toMatch(/^op\d+,/);
      for (const span of spans!.split(' ')) {
        const [start, end] = span.split('-').map(Number);
        expect(text.slice(start, end)).toMatch(/^\{ id: op\d+.*\}$/);
      }
    }
  });

  it('shows the order of a plan without times, and nothing if there is no order', () => {
    const steps = (after: string): string => `operations:
  - { id: op10, do: disconnect, connectors: [park-sensor]${after} }
  - { id: op20, do: sand, zone: quarter-left }
`;
    expect(String(timelinePicture(planOf(steps(''))))).toContain('The plan states no times');
    expect(timelinePicture(planOf(steps(', after: [op20]')))).toBeUndefined();
  });
});
