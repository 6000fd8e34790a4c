// The morning of the reports' tests: Monday 13 July 2026, 05:30 in London. A nil check of each of two machines, then a rider sees a frayed
// brake cable on one of them. Names in three scripts, and readers of what comes back.
import { expect } from "vitest";
import { type As, peopleAtHand, sent } from "./acts.ts";
import { type Client, openTestApp, type TestApp } from "./app.ts";
import { type ReportFetched, reportAt } from "./report-at.ts";
import { addTestMachine, checkFinding, nilCheckOf } from "./sheets.ts";

export const thai = "\u0e2a\u0e38\u0e1e\u0e31\u0e15\u0e23\u0e32 \u0e1b\u0e31\u0e0d\u0e0d\u0e32\u0e27\u0e31\u0e12\u0e19\u0e4c";
export const cyrillic = "\u041e\u043b\u0435\u043d\u0430 \u0406\u0432\u0430\u0449\u0435\u043d\u043a\u043e";
const caution = "does not replace the maker's handbook";

/** The firm on that morning. */
export interface FirstMorning {
  readonly app: TestApp;
  readonly as: As;
  readonly machineId: string;
  readonly defectId: string;
}

export async function openFirstMorning(): Promise<FirstMorning> {
  const app = await openTestApp();
  const as = peopleAtHand(app);
  const name = (staffNumber: string, name: string) => app.context.db.prisma.staff.update({ where: { staffNumber }, data: { name } });
  await name("R001", thai);
  await name("M001", cyrillic);
  const machineId = await addTestMachine(app, { mark: "AA11 AAA" });
  const other = await addTestMachine(app, { mark: "BB22 BBB" });
  await addTestMachine(app, { mark: "FAR1", depotId: app.cast.farDepotId, inspected: false });
  const rider = await as("R001");
  await sent(rider.post("/v1/daily-checks").send(nilCheckOf(app, machineId)));
  await sent(rider.post("/v1/daily-checks").send(nilCheckOf(app, other)));
  app.context.clock.advance(60_000);
  const late = { performedAt: new Date(app.context.clock.now().getTime() - 3_600_000).toISOString() };
  const found = await sent(rider.post("/v1/daily-checks").send(checkFinding(app, machineId, "front-brake-cable.frayed", late)));
  return { app, as, machineId, defectId: (found["defects"] as { id: string }[])[0]?.id ?? "" };
}

/** A report, read back; every page of it has its number, the caution and the firm. */
export async function fetchReport(client: Client, path: string): Promise<ReportFetched> {
  const fetched = await reportAt(client, path);
  const { read } = fetched;
  const pages = read.pages.length;
  read.pages.forEach((text, index) => {
    expect(text).toContain(`Page ${index + 1} of ${pages}`);
    expect(text).toContain(caution);
    expect(text).toContain("Test Couriers");
  });
  return fetched;
}

/** Holds that these texts stand in a report, in this order. */
export function inOrder(text: string, ...parts: string[]): void {
  const places = parts.map((part) => text.indexOf(part));
  for (const [index, place] of places.entries()) expect(place, `${parts[index]} in ${text.slice(0, 600)}`).toBeGreaterThanOrEqual(0);
  expect(places).toEqual([...places].sort((one, other) => one - other));
}
