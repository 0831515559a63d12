import { describe, expect, it } from 'vitest';
import { connectorStates } from '../../server/src/sequence/course.ts';
import { scheduleOf } from '../../server/src/sequence/critical-path.ts';
import type { Plan } from '../../server/src/plan/plan.ts';
import { sampleUri, sampleWorkspace, workspaceOf } from '../support/files.ts';
import { wholePlan } from '../support/frame.ts';

const planOf = (lines: string): Plan =>
  workspaceOf({ 'a.repair-plan.yaml': wholePlan(lines) }).plan('file:///plans/a.repair-plan.yaml')!;

/** "mated 0-5, open 5-20": minutes from the start. */
function course(plan: Plan, connector: string): string {
  const found = connectorStates(plan, scheduleOf(plan)!).find((one) => one.connector.id === connector)!;
  return found.stretches.map(({ state, from, to }) => `${state} ${from / 60_000}-${to / 60_000}`).join(', ');
}

const whole = (hazard: string, halves = 'both'): string => `operations:
  - { id: op05, do: photograph, time: 5 min }
  - { id: op10, do: disconnect, connectors: [park-sensor], time: 10 min }
  - { id: op20, do: cover, connectors: [park-sensor], halves: ${halves}, time: 5 min }
  - { id: op30, do: ${hazard}, zone: quarter-left, time: 30 min }
  - { id: op40, do: uncover, connectors: [park-sensor], halves: ${halves}, time: 5 min }
  - { id: op45, do: inspect, connectors: [park-sensor], time: 5 min }
  - { id: op50, do: reconnect, connectors: [park-sensor], time: 5 min }
  - { id: op60, do: check-seated, connectors: [park-sensor], time: 5 min }
  - { id: op70, do: scan, time: 10 min }
`;

describe('the course of a connector', () => {
  it('is bare from the start of an opening to the end of a covering or closing, and proven by the last proof', () => {
    expect(course(planOf(whole('sand')), 'park-sensor')).toBe(
      'mated 0-5, open 5-20, covered 20-50, open 50-65, closed 65-80',
    );
    const longer = `${whole('sand')}  - { id: op80, do: photograph, time: 20 min }\n`;
    expect(course(planOf(longer), 'park-sensor')).toMatch(/closed 65-80, proven 80-100$/);
  });

  it('uses the worse half: one left bare near dust is exposed', () => {
    expect(course(planOf(whole('sand', 'plug')), 'park-sensor')).toBe(
      'mated 0-5, exposed 5-65, closed 65-80',
    );
    expect(course(planOf(whole('fill', 'plug')), 'park-sensor')).toBe('mated 0-5, open 5-65, closed 65-80');
  });

  it('is exposed where the order only allows it, though the earliest times keep the two apart', () => {
    const loose = whole('fill').replace(
      '  - { id: op40',
      '  - { id: op35, do: sand, zone: quarter-left, after: [], time: 1 min }\n  - { id: op40',
    );
    expect(
      course(
        planOf(loose.replace('id: op40, do: uncover,', 'id: op40, do: uncover, after: [op30],')),
        'park-sensor',
      ),
    ).toMatch(/^mated 0-5, exposed 5-20, covered 20-50, exposed 50-65/);
  });

  it('is never proven while a proof is missing or may come before the closing', () => {
    const early = whole('sand').replace(
      'do: check-seated, connectors: [park-sensor]',
      'do: check-seated, connectors: [park-sensor], after: [op05]',
    );
    for (const lines of [early, whole('sand').replace(/ {2}- \{ id: op60.*\n/, '')]) {
      expect(
        course(planOf(`${lines}  - { id: op80, do: photograph, time: 20 min }\n`), 'park-sensor'),
      ).not.toContain('proven');
    }
  });

  it('is told of no connector of which a step is half typed, or whose opening and closing nothing orders', () => {
    const halfTyped = `${whole('sand')}  - { id: op80, do: recon, connectors: [park-sensor] }\n`;
    const unordered = whole('sand').replace(
      'id: op50, do: reconnect,',
      'id: op50, do: reconnect, after: [op05],',
    );
    for (const lines of [halfTyped, unordered]) expect(course(planOf(lines), 'park-sensor')).toBe('');
  });

  it('has no gap, no overlap and no repeated interval in any sample', () => {
    const workspace = sampleWorkspace();
    for (const name of ['quarter-panel', 'quarter-panel-faulty', 'hybrid-door']) {
      const plan = workspace.plan(sampleUri(`${name}.repair-plan.yaml`))!;
      const schedule = scheduleOf(plan)!;
      for (const { stretches } of connectorStates(plan, schedule)) {
        expect(stretches[0]!.from).toBe(0);
        expect(stretches.at(-1)!.to).toBe(schedule.finish);
        stretches.slice(1).forEach((stretch, i) => {
          expect(stretch.from).toBe(stretches[i]!.to);
          expect(stretch.state).not.toBe(stretches[i]!.state);
        });
      }
    }
  });
});
