// What is kept of who rides what, and the plan that the manager changes by hand before it is kept. Pure but for the two calls.
import type { Allocation, KeepAllocationBody, KeptAllocation } from "../../../shared/contracts/planning.ts";
import { fetchFrom } from "../frame/call.ts";

/** What is kept, with the tag that says which version of it was read. */
export interface Read {
  readonly allocation: KeptAllocation;
  readonly tag: string;
}

const readOf = async (answer: Promise<Response>): Promise<Read> => {
  const response = await answer;
  return { allocation: (await response.json()) as KeptAllocation, tag: response.headers.get("etag") ?? "" };
};
const addressOf = (depotId: string, day: string): string => `/v1/allocations/${depotId}/${day}`;

export const readKept = (depotId: string, day: string, signal: AbortSignal): Promise<Read> =>
  readOf(fetchFrom(addressOf(depotId, day), { signal }));

/** Keeps it, unless somebody kept another one since `tag` was read. */
export const keep = (depotId: string, day: string, body: KeepAllocationBody, tag: string): Promise<Read> =>
  readOf(fetchFrom(addressOf(depotId, day), { method: "PUT", body, ifMatch: tag }));

/** The machine of each rider by staff id; a rider without one stands in it with null. */
export type Plan = ReadonlyMap<string, string | null>;

export const planOf = (riders: readonly string[], lines: readonly { readonly staffId: string; readonly machineId: string }[]): Plan =>
  new Map([
    ...riders.map((staffId): [string, null] => [staffId, null]),
    ...lines.map(({ staffId, machineId }): [string, string] => [staffId, machineId]),
  ]);

/** With another machine for one rider, or none; whoever had it gets theirs in return. */
export function withMachine(plan: Plan, staffId: string, machineId: string | null): Plan {
  const own = plan.get(staffId) ?? null;
  const other = machineId === null ? undefined : [...plan].find(([, given]) => given === machineId)?.[0];
  return new Map([...plan, ...(other === undefined ? [] : [[other, own] as const]), [staffId, machineId]]);
}

/** The lines to keep, in the order of the plan. */
export const linesOf = (plan: Plan): KeepAllocationBody["allocations"] =>
  [...plan].flatMap(([staffId, machineId]) => (machineId === null ? [] : [{ staffId, machineId }]));

/** Whose lines a refusal names. */
export const refusedIn = (plan: Plan, pointers: readonly string[]): ReadonlySet<string> => {
  const lines = linesOf(plan);
  return new Set(pointers.flatMap((pointer) => lines[Number(pointer.split("/")[2])]?.staffId ?? []));
};

/** Riders of a proposal who would ride another machine than before, on the machine that was proposed. */
export const isSwap = (proposed: Allocation | null, staffId: string, machineId: string | null): boolean | null => {
  const line = proposed?.allocations.find((one) => one.staffId === staffId);
  return line === undefined || line.machineId !== machineId ? null : line.changed;
};
