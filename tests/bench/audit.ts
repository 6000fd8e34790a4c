// An audit pack beside the rest: how fast it is verified, and how long the API takes to answer while one is being made.
import { createHash } from "node:crypto";
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import autocannon from "autocannon";
import type { AuditPack } from "../../shared/contracts/audit.ts";
import { verifyPack } from "../../src/audit/verify-pack.ts";
import { type RunningService, startService } from "./service.ts";
import { manager, rider, setStage } from "./stage.ts";
import { submit } from "./submission.ts";

const secondsOfChecks = 15;
const calls = 8;
const longestPackMs = 180_000;

export async function benchAudit(): Promise<void> {
  const stage = await setStage();
  const service = await startService(stage.address);
  const folder = await mkdtemp(join(tmpdir(), "ferrule-bench-pack-"));
  try {
    await submit(service, await service.tokenOf(rider), secondsOfChecks);
    const token = await service.tokenOf(manager);
    const quiet = await answerTimes(
      service,
      token,
      async (seconds) => void (await new Promise((done) => setTimeout(done, seconds * 1000))),
    );
    let pack: AuditPack | null = null;
    const busy = await answerTimes(service, token, async () => {
      pack = await makePack(service, token);
    });
    console.log(
      `GET /v1/me, ${calls} in flight: p50 ${quiet.p50} ms, p99 ${quiet.p99} ms; while a pack is made p50 ${busy.p50} ms, p99 ${busy.p99} ms`,
    );
    console.log(`p99 while a pack is made / p99 without: ${(busy.p99 / quiet.p99).toFixed(1)}`);

    const made = pack as AuditPack | null;
    if (!made) throw new Error("no pack was made");
    const answer = await call(service, token, `/v1/audit-packs/${made.id}/download`);
    const file = join(folder, "pack.zip");
    await writeFile(file, Buffer.from(await answer.arrayBuffer()));
    const records = made.counts?.records ?? 0;
    const verified = await timed(async () => {
      if (!(await verifyPack(file)).holds) throw new Error("the pack does not hold");
    });
    // As long as a line of the records is here.
    const [line] = await stage.sql<{ text: string }[]>`SELECT data::text AS text FROM ledger WHERE kind = 'daily-check' LIMIT 1`;
    const text = `${line?.text ?? ""}${"x".repeat(600)}`;
    const bare = await timed(async () => {
      for (let count = 0; count < records; count += 1) createHash("sha256").update(text).digest("hex");
    });
    console.log(
      `verifying ${records} entries: ${(records / verified).toFixed(0)} entries/s; bare SHA-256 of as many lines ${(records / bare).toFixed(0)}/s, ratio ${(bare / verified).toFixed(3)}`,
    );
  } finally {
    await rm(folder, { recursive: true, force: true });
    await service.stop();
    await stage.clear();
  }
}

async function timed(act: () => Promise<void>): Promise<number> {
  const begun = performance.now();
  await act();
  return (performance.now() - begun) / 1000;
}

async function call({ url }: RunningService, token: string, path: string, body?: object): Promise<Response> {
  const answer = await fetch(`${url}${path}`, {
    headers: { authorization: `Bearer ${token}`, ...(body ? { "content-type": "application/json" } : {}) },
    ...(body ? { method: "POST", body: JSON.stringify(body) } : {}),
  });
  if (!answer.ok) throw new Error(await answer.text());
  return answer;
}

async function makePack(service: RunningService, token: string): Promise<AuditPack> {
  const month = new Date().toISOString().slice(0, 7);
  const ordered = (await (await call(service, token, "/v1/audit-packs", { month })).json()) as AuditPack;
  for (const begun = Date.now(); Date.now() - begun < longestPackMs; ) {
    const pack = (await (await call(service, token, `/v1/audit-packs/${ordered.id}`)).json()) as AuditPack;
    if (pack.state === "failed") throw new Error(pack.failure ?? "failed");
    if (pack.state === "ready") return pack;
    await new Promise((done) => setTimeout(done, 200));
  }
  throw new Error("the pack is not ready in time");
}

/** How long a small call takes while `meanwhile` goes on. */
async function answerTimes(
  { url }: RunningService,
  token: string,
  meanwhile: (seconds: number) => Promise<void>,
): Promise<{ p50: number; p99: number }> {
  const options = {
    url: `${url}/v1/me`,
    connections: calls,
    // Not as fast as it can: the question is how long one waits, not how many fit in.
    overallRate: 200,
    duration: longestPackMs / 1000,
    headers: { authorization: `Bearer ${token}` },
  };
  let end = (): void => undefined;
  const load = new Promise<autocannon.Result>((resolve, reject) => {
    const instance = autocannon(options, (error: Error | null, result) => (error ? reject(error) : resolve(result)));
    end = () => instance.stop();
  });
  await meanwhile(6);
  end();
  const { latency, non2xx } = await load;
  if (non2xx > 0) throw new Error(`${non2xx} calls were refused`);
  return { p50: latency.p50, p99: latency.p99 };
}
