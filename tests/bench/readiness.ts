// The board of one depot of 500 machines in a fleet of 10,000, now and as at a past moment, one call after the other.
import { startService } from "./service.ts";
import { depotId, depots, fleetSize, manager, setStage } from "./stage.ts";

const calls = 300;

export async function benchReadiness(): Promise<void> {
  const stage = await setStage();
  const service = await startService(stage.address);
  try {
    const headers = { authorization: `Bearer ${await service.tokenOf(manager)}` };
    const past = new Date(Date.now() - 3_600_000).toISOString();
    for (const [what, query] of [
      ["now", ""],
      ["at a past moment", `&at=${past}`],
    ] as const) {
      const times: number[] = [];
      for (let call = 0; call < calls; call += 1) {
        const start = performance.now();
        const answer = await fetch(`${service.url}/v1/readiness?depotId=${depotId(call % depots)}${query}`, { headers });
        const board = (await answer.json()) as { machines: unknown[] };
        times.push(performance.now() - start);
        if (board.machines.length !== fleetSize / depots) throw new Error(`the board shows ${board.machines.length} machines`);
      }
      times.sort((a, b) => a - b);
      const at = (share: number): string => (times[Math.ceil(times.length * share) - 1] ?? Number.NaN).toFixed(1);
      console.log(`${what}: ${fleetSize / depots} machines of ${fleetSize}: p50 ${at(0.5)} ms, p99 ${at(0.99)} ms, ${calls} calls`);
    }
  } finally {
    await service.stop();
    await stage.clear();
  }
}
