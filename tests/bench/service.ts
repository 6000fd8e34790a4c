// The service as one process of its own, as it runs for users, on the stage's database.
import { spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { makeKeys } from "../../src/keys/index.ts";

export interface RunningService {
  readonly url: string;
  tokenOf(person: { staffNumber: string; secret: string }): Promise<string>;
  stop(): Promise<void>;
}

// A stage is served by one process after another, each with a folder of its own.
const keys = await makeKeys();

export async function startService(databaseUrl: string): Promise<RunningService> {
  const folder = await mkdtemp(join(tmpdir(), "ferrule-bench-"));
  const child = spawn(process.execPath, ["--import", "tsx", "src/main.ts"], {
    env: {
      ...process.env,
      DATABASE_URL: databaseUrl,
      FERRULE_DATA: folder,
      FERRULE_KEYS: keys,
      PORT: "0",
      LOG_LEVEL: "warn",
      RATE_LIMIT_PER_MINUTE: "100000000",
      NODE_ENV: "production",
    },
    stdio: ["ignore", "pipe", "inherit"],
  });
  const url = await new Promise<string>((found, failed) => {
    child.once("exit", () => failed(new Error("the service did not start")));
    createInterface({ input: child.stdout }).on("line", (line) => {
      const address = /Ferrule is at (\S+)/.exec(line)?.[1];
      if (address) found(address);
    });
  });
  return {
    url,
    tokenOf: async (person) => {
      const answer = await fetch(`${url}/v1/sign-in`, {
        method: "POST",
        headers: { "content-type": "application/json" },
        body: JSON.stringify(person),
      });
      if (!answer.ok) throw new Error(await answer.text());
      return ((await answer.json()) as { accessToken: string }).accessToken;
    },
    stop: async () => {
      child.kill("SIGTERM");
      await once(child, "exit");
      await rm(folder, { recursive: true, force: true });
    },
  };
}
