// What a manager could try: reset a mechanic's secret, sign in with the code, choose a secret, and sign in the mechanic's name.
import { randomUUID } from "node:crypto";
import type { MemberWithCode } from "../../shared/contracts/people.ts";
import { type As, expectAnswer, repairOf, reportOf } from "./acts.ts";
import type { TestApp } from "./app.ts";
import { addTestMachine, inspectionOf } from "./sheets.ts";

export interface SignedByAnother {
  readonly machineId: string;
  /** found by R001, repaired by M001, signed off in the name of M002 */
  readonly defectId: string;
  /** in the name of M002 as well */
  readonly inspectionId: string;
  readonly resetAt: string;
  readonly chosenAt: string;
}

export const resetOf = async (app: TestApp, as: As, staffNumber: string): Promise<MemberWithCode> =>
  expectAnswer((await as("F001")).post(`/v1/staff/${app.cast.staffId(staffNumber)}/secret-reset`), 200);

/** F001 does it to M002, within five minutes. */
export async function signAsAnother(app: TestApp, as: As): Promise<SignedByAnother> {
  const now = (): string => app.context.clock.now().toISOString();
  const tick = (minutes: number) => app.context.clock.advance(minutes * 60_000);
  const machineId = await addTestMachine(app);
  const defectId = (await expectAnswer((await as("R001")).post("/v1/defects").send(reportOf(app, machineId, "stand.stiff")), 201)).defect
    .id;
  tick(1);
  await expectAnswer((await as("M001")).post(`/v1/defects/${defectId}/repairs`).send(repairOf(app)), 201);
  tick(1);
  const resetAt = now();
  const { oneTimeCode } = await resetOf(app, as, "M002");
  tick(1);
  const chosenAt = now();
  const impostor = await app.settleIn("M002", oneTimeCode);
  tick(4);
  await expectAnswer(impostor.post(`/v1/defects/${defectId}/sign-off`).send({ id: randomUUID(), statement: "Stands well" }), 201);
  const inspection = inspectionOf(app, machineId);
  await expectAnswer(impostor.post("/v1/weekly-inspections").send(inspection), 201);
  return { machineId, defectId, inspectionId: inspection.id, resetAt, chosenAt };
}
