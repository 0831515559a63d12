import { existsSync } from 'node:fs';
import path from 'node:path';

/** A browser of this machine, which goes first. */
export function browserOnPath(): string | undefined {
  const names = ['chromium', 'chromium-browser', 'google-chrome'];
  const folders = (process.env.PATH ?? '').split(path.delimiter);
  return names
    .flatMap((name) => folders.map((folder) => path.join(folder, name)))
    .find((file) => existsSync(file));
}

/** What a machine offers to the editor tests. */
export interface Machine {
  readonly platform: string;
  readonly arch: string;
  /** The version of its C library, where that is glibc. */
  readonly glibc: string | undefined;
  readonly browser: string | undefined;
}

export function thisMachine(): Machine {
  const { header } = process.report.getReport() as { header: { glibcVersionRuntime?: string } };
  const { platform, arch } = process;
  return { platform, arch, glibc: header.glibcVersionRuntime, browser: browserOnPath() };
}

/** Why the editor tests cannot run on a machine; undefined where they can. */
export function whyNoEditor({ platform, arch, glibc, browser }: Machine): string | undefined {
  // They find the workbench's processes in /proc.
  if (platform !== 'linux') return `they run on Linux, and this is ${platform}`;
  if (browser !== undefined) return undefined;
  const missing = 'no chromium or google-chrome is on the PATH';
  if (arch !== 'x64') return `${missing}, and the packaged browser is for x64, not ${arch}`;
  if (glibc === undefined) return `${missing}, and the packaged browser needs glibc`;
  return undefined;
}
