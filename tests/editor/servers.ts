import { readdirSync, readFileSync } from 'node:fs';

/** The language servers of this workbench's run: processes of the extension that lies beside the open folder. */
export function serverPids(folder: string): number[] {
  const run = folder.replace(/\/harbour-lane$/, '');
  return processes().filter((pid) => {
    try {
      const [, script = ''] = readFileSync(`/proc/${pid}/cmdline`, 'utf8').split('\0');
      return script.startsWith(run) && script.endsWith('dist/server.js');
    } catch {
      return false;
    }
  });
}

/** What the process `pid` has started. */
export function childPids(pid: number): number[] {
  return processes().filter((each) => {
    try {
      // proc(5): the parent stands two places behind the name, which is in brackets and may hold any character.
      const stat = readFileSync(`/proc/${each}/stat`, 'utf8');
      return (
        Number(
          stat
            .slice(stat.lastIndexOf(')') + 1)
            .trim()
            .split(' ')[1],
        ) === pid
      );
    } catch {
      return false;
    }
  });
}

const processes = () =>
  readdirSync('/proc')
    .filter((name) => /^\d+$/.test(name))
    .map(Number);
