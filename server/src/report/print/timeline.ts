import { scaleLinear } from 'd3-scale';
import type { Language } from '../../language/language.ts';
import { localizedNumber, inLanguage, joined, deferred, say, someOf } from '../../language/phrase.ts';
import type { Phrase, Value } from '../../language/phrase.ts';
import { px, segment, text } from '../pictures/picture-parts.ts';
import type { Connector } from '../../plan/scope.ts';
import type { Plan } from '../../plan/plan.ts';
import { hazardWords, contaminating } from '../../plan/tables/tasks.ts';
import type { Hazard } from '../../plan/tables/tasks.ts';
import { connectorStates } from '../../sequence/course.ts';
import type { ConnectorStates, StateInterval } from '../../sequence/course.ts';
import { sequenceOf } from '../../sequence/lives.ts';
import { scheduleOf, stepwiseScheduleOf } from '../../sequence/critical-path.ts';
import type { Schedule, TimedOperation } from '../../sequence/critical-path.ts';
import { escape } from './html.ts';
import { placesOf } from './places.ts';
import { timelineLegend } from './timeline-legend.ts';
import {
  classWords,
  knockSign,
  laneHeight,
  seatSign,
  shortened,
  stateShape,
  stateWords,
  warningSign,
  widestRoom,
  widthOf,
} from './timeline-marks.ts';
import type { PlacedWords } from './timeline-marks.ts';
import { timelineStyle } from './timeline-style.ts';
import { plural, timeText, zoneText } from './words.ts';

/** Names stand left of their rows, or above them where a narrow screen has no room for that. */
type TimelineLayout = 'wide' | 'narrow';

/** Unit: pixels. `above`: what a name takes above its row. */
const layouts = {
  wide: { width: 780, left: 184, right: 766, above: 0, lanePitch: 28, ticks: 12, letters: 1 },
  narrow: { width: 350, left: 12, right: 342, above: 13, lanePitch: 56, ticks: 5, letters: 1.6 },
} as const;
/** Lanes beyond this are counted, not drawn. */
const maxLanes = 80;

const knocking: ReadonlySet<Hazard> = new Set(['knock']);

export interface TimelineOptions {
  /** Distinguishes the patterns of several pictures on one page. */
  readonly id?: string;
  /** Wide, unless stated. */
  readonly layout?: TimelineLayout;
}

/**
 * The plan over time: who works, what is raised where, and the state of each connector, at the earliest times
 * that the order allows. SVG text for a page or a print, drawn once its language is known; `undefined` if the
 * order has a cycle or there are no steps. Elements that represent a part of the plan link to it
 * (`placesOf`).
 */
export function timelinePicture(plan: Plan, options: TimelineOptions = {}): Phrase | undefined {
  const timed = scheduleOf(plan);
  const schedule = timed && timed.finish === 0 ? stepwiseScheduleOf(plan) : timed;
  if (!schedule || schedule.operations.length === 0) return undefined;
  return deferred((language) => new Timeline(plan, schedule, timed?.finish === 0, options, language).draw());
}

class Timeline {
  readonly id: string;
  readonly #layout: (typeof layouts)[TimelineLayout];
  readonly #parts: Value[] = [];
  readonly #x: (milliseconds: number) => number;
  readonly #courses: readonly ConnectorStates[];
  #y = 34;

  constructor(
    readonly plan: Plan,
    readonly schedule: Schedule,
    readonly stepwise: boolean,
    { id = 'timeline', layout = 'wide' }: TimelineOptions,
    readonly language: Language | undefined,
  ) {
    this.id = layout === 'wide' ? id : `${id}-${layout}`;
    this.#layout = layouts[layout];
    const { left, right } = this.#layout;
    this.#x = scaleLinear()
      .domain([0, Math.max(1, schedule.finish)])
      .range([left, right]);
    this.#courses = connectorStates(plan, schedule).filter(
      ({ life }) => life.operations.length > 0 || this.#knocks(life.connector).length > 0,
    );
  }

  #in(value: Value): string {
    return inLanguage(value, this.language);
  }

  draw(): string {
    const { width, left } = this.#layout;
    const drawn = this.#courses.slice(0, maxLanes);
    const gridAt = this.#parts.push('') - 1;
    this.#people();
    this.#hazards(drawn);
    const lanesTop = this.#y;
    drawn.forEach((course) => this.#lane(course));
    if (drawn.length < this.#courses.length) {
      this.#y += 16;
      const more = this.#courses.length - drawn.length;
      const words = plural(more, say`1 more connector not drawn`, say`${more} more connectors not drawn`);
      this.#parts.push(text(12, this.#y, words, 'small'));
    }
    const bottom = this.#y + 4;
    this.#parts[gridAt] = this.#grid(bottom);
    this.#parts.push(segment(left, lanesTop, left, bottom, 'rule'));
    this.#y = bottom + 22;
    const legend = timelineLegend(this.id, width, this.#y, this.language);
    this.#parts.push(...legend.parts);
    const height = Math.ceil(legend.bottom + 10);
    const title = escape(this.#in(say`Timeline of the plan`));
    return [
      `<svg xmlns="http://www.w3.org/2000/svg" class="plugward-timeline" role="img" viewBox="0 0 ${width} ${height}" width="${width}" height="${height}" aria-labelledby="${this.id}-title ${this.id}-desc">`,
      `<title id="${this.id}-title">${title}</title><desc id="${this.id}-desc">${escape(this.#in(this.#description()))}</desc>`,
      `<style>${timelineStyle}</style>${this.#patterns()}<rect class="paper" width="${width}" height="${height}"/>`,
      ...this.#parts.map((part) => this.#in(part)),
      '</svg>',
    ].join('');
  }

  #description(): Phrase {
    const exposed = this.#courses.flatMap(({ connector, stretches }) =>
      stretches.some(({ state }) => state === 'exposed') ? [connector.id] : [],
    );
    const finish = this.stepwise
      ? say`The plan states no times; all steps are drawn the same length.`
      : say`Earliest finish ${timeText(this.schedule.finish)}.`;
    const path = someOf(distinctSteps(this.schedule.criticalPath), 30);
    const bare = exposed.length > 0 ? say`Exposed: ${someOf(exposed, 20)}.` : say`No connector is exposed.`;
    return say`${finish} Critical path: ${path}. ${bare}`;
  }

  #patterns(): string {
    return (
      `<defs><pattern id="${this.id}-hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><rect class="paper" width="6" height="6"/><path class="hatch" d="M0 0V6"/></pattern>` +
      `<pattern id="${this.id}-cross" width="5" height="5" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><rect class="paper" width="5" height="5"/><path class="cross" d="M0 0V5M0 0H5"/></pattern></defs>`
    );
  }

  #grid(bottom: number): Value {
    const { finish } = this.schedule;
    const { left, right } = this.#layout;
    const top = 24;
    const parts: Value[] = [];
    if (this.stepwise) {
      parts.push(text(left, 16, say`in the order of the plan; it states no times`, 'small'));
    } else {
      const unit = finish > 2 * 3_600_000 ? { size: 3_600_000, name: 'h' } : { size: 60_000, name: 'min' };
      const ticks = scaleLinear()
        .domain([0, finish / unit.size])
        .ticks(this.#layout.ticks);
      const label = this.#in(say`earliest finish ${timeText(finish)}`);
      for (const tick of ticks) {
        const x = this.#x(tick * unit.size);
        parts.push(segment(x, top, x, bottom, 'grid'));
        if (x < right - widthOf(label) * 1.3)
          parts.push(text(x + 3, 16, localizedNumber(`${tick} ${unit.name}`), 'small'));
      }
      parts.push(text(right, 16, label, 'strong', 'end'));
    }
    parts.push(segment(right, top, right, bottom, 'line'), segment(left, top, right, top, 'rule'));
    return joined(parts);
  }

  /** Labels above blocks; overlapping ones are merged: "op20–op37". */
  #labels(blocks: readonly { readonly from: number; readonly label: string }[], y: number): void {
    const { left, right } = this.#layout;
    const runs: { from: number; x: number; end: number; first: string; last: string }[] = [];
    const wordsOf = ({ first, last }: { first: string; last: string }): string =>
      first === last ? first : `${first}–${last}`;
    for (const { from, label } of blocks) {
      const x = this.#x(from);
      if (runs.at(-1)?.last !== label) runs.push({ from: x, x, end: x, first: label, last: label });
      for (let run = runs.at(-1)!; ;) {
        // A label that would leave the picture ends at its edge.
        const width = widthOf(wordsOf(run));
        run.x = run.from + width > right ? Math.max(left, right - width) : run.from;
        run.end = run.x + width;
        const before = runs.at(-2);
        if (!before || run.x >= before.end + 5) break;
        before.last = run.last;
        runs.pop();
        run = before;
      }
    }
    for (const run of runs) this.#parts.push(text(run.x, y, wordsOf(run), 'tag'));
  }

  #people(): void {
    const rows = new Map<string | undefined, TimedOperation[]>();
    for (const timed of this.schedule.operations) {
      const person = timed.operation.by?.value;
      rows.set(person, [...(rows.get(person) ?? []), timed]);
    }
    for (const [person, own] of rows) {
      own.sort((a, b) => a.earliestStart - b.earliestStart);
      const named = this.#y + 14 + 9 - (this.#layout.above > 0 ? 11 : 0);
      this.#y += this.#layout.above;
      const y = this.#y + 14;
      this.#parts.push(
        person === undefined
          ? text(12, named, say`nobody named`, 'small')
          : text(12, named, shortened(person, 30), 'strong'),
      );
      this.#labels(
        own.map(({ earliestStart, operation }) => ({ from: earliestStart, label: operation.planStep.id })),
        y - 3,
      );
      for (const timed of own) this.#work(timed, y);
      this.#y += 27;
    }
    this.#y += 4;
  }

  #work(
    { operation, earliestStart, earliestFinish, latestFinish, critical }: TimedOperation,
    y: number,
  ): void {
    const x = this.#x(earliestStart);
    const end = Math.max(this.#x(earliestFinish), x + 1.5);
    const slack = critical ? '' : segment(end, y + 5, this.#x(latestFinish), y + 5, 'slack');
    const box = `<rect class="${critical ? 'critical' : 'work'}" x="${px(x + 0.5)}" y="${y}" width="${px(Math.max(1, end - x - 1))}" height="10"/>`;
    const doing = say`${operation.id}: ${operation.task?.doing ?? operation.taskId}`;
    const timed = this.stepwise ? doing : say`${doing}, ${timeText(earliestFinish - earliestStart)}`;
    const title = this.#in(critical ? say`${timed}, on the critical path` : timed);
    this.#parts.push(
      `<g${placesOf(this.plan, [operation])}><title>${escape(title)}</title><rect class="rest" x="${px(x)}" y="${y - 2}" width="${px(end - x)}" height="14"/>${slack}${box}</g>`,
    );
  }

  #hazards(courses: readonly ConnectorStates[]): void {
    const rows = new Map<Hazard, TimedOperation[]>();
    for (const timed of this.schedule.operations) {
      for (const hazard of timed.operation.task?.raises ?? []) {
        if (contaminating.has(hazard)) rows.set(hazard, [...(rows.get(hazard) ?? []), timed]);
      }
    }
    if (rows.size === 0) return;
    const top = this.#y;
    const bandsAt = this.#parts.push('') - 1;
    for (const [hazard, own] of rows) {
      own.sort((a, b) => a.earliestStart - b.earliestStart);
      const named = this.#y + 13 + 5 - (this.#layout.above > 0 ? 6 : 0);
      this.#y += this.#layout.above;
      const y = this.#y + 13;
      this.#parts.push(text(12, named, hazardWords[hazard], 'small'));
      this.#labels(
        own.map(({ earliestStart, operation }) => ({ from: earliestStart, label: operation.planStep.id })),
        y - 2,
      );
      for (const { earliestStart, earliestFinish } of own) {
        const x = this.#x(earliestStart);
        const end = Math.max(this.#x(earliestFinish), x + 1.5);
        this.#parts.push(
          `<rect fill="url(#${this.id}-hatch)" class="raised" x="${px(x + 0.5)}" y="${y}" width="${px(Math.max(1, end - x - 1))}" height="6"/>`,
        );
      }
      this.#y += 19;
    }
    this.#y += 6;
    this.#parts[bandsAt] = this.#bands(courses, top);
  }

  /** Where what is raised reaches a connector, its lane is shaded for that time. */
  #bands(courses: readonly ConnectorStates[], top: number): string {
    const sequence = sequenceOf(this.plan);
    const { right, lanePitch } = this.#layout;
    const parts: string[] = [segment(12, top - 1, right, top - 1, 'grid')];
    courses.forEach(({ connector }, lane) => {
      const y = this.#y + lane * lanePitch;
      let last: { x: number; end: number } | undefined;
      const flush = (): void => {
        if (!last) return;
        parts.push(
          `<rect class="band" x="${px(last.x)}" y="${px(y)}" width="${px(last.end - last.x)}" height="${lanePitch}"/>`,
          segment(last.x, y, last.x, y + lanePitch, 'bandedge'),
          segment(last.end, y, last.end, y + lanePitch, 'bandedge'),
        );
      };
      const stretches = sequence
        .reaching(connector.zone, contaminating)
        .map((operation) => this.schedule.of(operation))
        .sort((a, b) => a.earliestStart - b.earliestStart);
      for (const { earliestStart, earliestFinish } of stretches) {
        const x = this.#x(earliestStart);
        const end = Math.max(this.#x(earliestFinish), x + 1);
        if (last && x <= last.end + 0.5) last.end = Math.max(last.end, end);
        else {
          flush();
          last = { x, end };
        }
      }
      flush();
    });
    return parts.join('');
  }

  #lane({ connector, life, stretches }: ConnectorStates): void {
    const { width, left, right, lanePitch, above, letters } = this.#layout;
    const y = this.#y;
    const middle = above > 0 ? y + 42 : y + lanePitch / 2 + 2;
    const kind = connector.class ? classWords[connector.class] : say`no class`;
    const where = this.#in(
      say`${kind}, ${connector.zone === undefined ? say`no zone` : zoneText(connector.zone)}`,
    );
    this.#parts.push(
      `<g class="lane"${placesOf(this.plan, life.operations)}><title>${escape(`${connector.id}: ${connector.name}`)}</title>`,
      `<rect class="rest" x="6" y="${y}" width="${width - 12}" height="${lanePitch}"/>`,
      segment(12, y, right, y, 'grid'),
      text(12, y + 12, shortened(connector.id, Math.round(26 * letters)), 'strong'),
      text(12, y + 23.5, shortened(where, Math.round(29 * letters)), 'small'),
    );
    if (stretches.length === 0) {
      const why = life.unclear
        ? say`the order of its steps is not clear`
        : say`a step that concerns it cannot be read`;
      this.#parts.push(text(left + 8, middle + 4, why, 'alarm halo'));
    }
    const seats = life.operations
      .filter(({ taskId }) => taskId === 'check-seated')
      .map((operation) => this.#x(this.schedule.of(operation).earliestFinish));
    const exposed = stretches.filter(({ state }) => state === 'exposed');
    const words = exposed.map((stretch) => this.#exposedWords(stretch));
    for (const stretch of stretches) this.#parts.push(this.#stretch(stretch, middle, seats, words));
    for (const timed of this.#knocks(life.connector)) {
      const { state } = stretches.find(({ to }) => timed.earliestStart < to) ?? {};
      if (state === 'mated') this.#parts.push(knockSign(this.#x(timed.earliestStart), middle));
    }
    for (const x of seats) this.#parts.push(seatSign(x, middle));
    // Signs of danger go last, above all shapes.
    exposed.forEach((stretch, i) => this.#parts.push(this.#exposed(stretch, words[i]!, middle)));
    this.#parts.push('</g>');
    this.#y += lanePitch;
  }

  /** Operations that may knock a connector loose that is not meant to be opened. */
  #knocks({ zone }: Connector): readonly TimedOperation[] {
    return sequenceOf(this.plan)
      .reaching(zone, knocking)
      .map((operation) => this.schedule.of(operation));
  }

  /** @param taken where other words stand in the lane */
  #stretch(
    { state, from, to }: StateInterval,
    middle: number,
    signs: readonly number[],
    taken: readonly PlacedWords[],
  ): Value {
    const x = this.#x(from);
    const end = Math.max(this.#x(to), x + 1.5);
    const shape = stateShape(this.id, state, x, end, middle);
    const word = this.#in(state === 'closed' ? say`closed` : stateWords[state]);
    const named = state === 'open' || state === 'covered' || state === 'closed';
    const others = taken.map((words): readonly [number, number] => [words.x - 3, words.x + words.width + 3]);
    const room = widestRoom(x, end, [
      ...signs.map((at): readonly [number, number] => [at - 6, at + 6]),
      ...others,
    ]);
    const label =
      named && widthOf(word) < room.end - room.x
        ? text((room.x + room.end) / 2, middle + 3.5, word, 'tag halo', 'middle')
        : '';
    const proven =
      state === 'proven' && widthOf(word) < end - x
        ? text((x + end) / 2, middle - 6, word, 'tag halo', 'middle')
        : '';
    return joined([shape, label, proven]);
  }

  /** What is said of an exposed connector: inside its shape, or beside it, towards the side that has more room. */
  #exposedWords({ from, to, hazards }: StateInterval): PlacedWords {
    const x = this.#x(from);
    const end = Math.max(this.#x(to), x + 1.5);
    const names = someOf([...new Set(hazards.map(({ operation }) => operation.planStep.id))], 2);
    const { left, right } = this.#layout;
    const label = this.#in(say`exposed: ${names}`);
    const width = widthOf(label);
    if (width < end - x) return { label, x: (x + end - width) / 2, width };
    return { label, x: right - end > x - left ? end + 4 : x - 4 - width, width };
  }

  #exposed({ from, to }: StateInterval, { label, x, width }: PlacedWords, middle: number): Value {
    const [start, end] = [this.#x(from), Math.max(this.#x(to), this.#x(from) + 1.5)];
    const sign = warningSign((start + end) / 2, middle - laneHeight / 2 - 1);
    return joined([sign, text(x + width / 2, middle + 3.5, label, 'tag alarm halo', 'middle')]);
  }
}

/** The plan's own steps along a chain of operations, each once. */
export const distinctSteps = (chain: readonly TimedOperation[]): string[] => [
  ...new Set(chain.map(({ operation }) => operation.planStep.id)),
];
