import { mkdtempSync, realpathSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { onTestFinished } from 'vitest';
import { TestClient } from './client.ts';

/** An empty folder that goes when the test has finished. */
export function temporaryFolder(): string {
  const folder = realpathSync(mkdtempSync(path.join(tmpdir(), 'plugward-protocol-')));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  return folder;
}

/** A running client that goes when the test has finished. */
export async function startClient(...args: Parameters<typeof TestClient.start>): Promise<TestClient> {
  const client = await TestClient.start(...args);
  onTestFinished(() => client.kill());
  return client;
}

/** An opened connector that nobody covers before the grinding beside it starts. */
export const faultyPlan = `plan: HL-0900
title: Left rear lamp
vehicle: { description: Kestrel estate (invented), propulsion: battery-electric, system-voltage: 400 V, battery-zone: motor-bay }
connectors:
  - { id: lamp, class: low-voltage, zone: quarter-left }
operations:
  - { id: op10, do: disconnect, connectors: [lamp] }
  - { id: op20, do: grind, zone: quarter-left }
`;

/** A list with one connector, and a plan that opens it and uses the list by `uses`. */
export const lampList =
  'connector-list: kestrel\nconnectors:\n  - { id: lamp, class: low-voltage, zone: quarter-left }\n';
export const planUsing = (uses: string): string => `plan: HL-1
vehicle: { description: Kestrel estate (invented), propulsion: hybrid }
uses: [${JSON.stringify(uses)}]
operations:
  - { id: op10, do: disconnect, connectors: [lamp] }
`;
