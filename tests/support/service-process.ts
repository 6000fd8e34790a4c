// The service as a process of its own, started as `npm start` does it.
import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { createInterface } from "node:readline";

const top = new URL("../../", import.meta.url).pathname;

export interface Started {
  readonly child: ChildProcess;
  readonly ended: Promise<number | null>;
  /** Waits for a line that holds it, one that was said already counts; the whole line. */
  says(text: string): Promise<string>;
  readonly lines: readonly string[];
}

/** Whoever starts one ends it too: `running` holds those that have not ended. */
export function startProcess(words: readonly string[], environment: Record<string, string>, running: Set<ChildProcess>): Started {
  const child = spawn(process.execPath, [...words], {
    cwd: top,
    // Nothing of this process: a test's settings are not those of a service.
    env: { PATH: process.env["PATH"], ...environment },
    stdio: ["ignore", "pipe", "pipe"],
  });
  running.add(child);
  const lines: string[] = [];
  const waiting = new Set<() => void>();
  for (const stream of [child.stdout, child.stderr]) {
    createInterface({ input: stream }).on("line", (line) => {
      lines.push(line);
      for (const look of waiting) look();
    });
  }
  const ended = once(child, "close").then(([code]) => {
    running.delete(child);
    return code as number | null;
  });
  const says = (text: string): Promise<string> =>
    new Promise((found, failed) => {
      const look = (): void => {
        const line = lines.find((one) => one.includes(text));
        if (line === undefined) return;
        waiting.delete(look);
        found(line);
      };
      waiting.add(look);
      look();
      void ended.then((code) => failed(new Error(`it ended with ${code} before it said ${text}: ${lines.join("\n")}`)));
    });
  return { child, ended, says, lines };
}

export const portOf = (line: string): number => Number(/Ferrule is at http:\/\/[^:]+:(\d+)/.exec(line)?.[1]);
