// What waits on a phone lies over what the phone shows: the same as the service says once it has all of it, whoever made it.
import { randomUUID } from "node:crypto";
import fc from "fast-check";
import { expect, test } from "vitest";
import { itemsFor } from "../../shared/catalogue/sheet.ts";
import type { FieldKit } from "../../shared/contracts/fleet.ts";
import { standingAt } from "../../shared/rules/standing.ts";
import type { BundleMachine, OfflineBundle } from "../../src/web/field/bundle-shape.ts";
import { layOver } from "../../src/web/field/overlay.ts";
import type { WaitingCheck, WaitingDefect } from "../../src/web/field/waiting-shape.ts";
import { answerNow } from "../../src/web/walk/answer-now.ts";
import { beginWalk, bodyOf, judge, stationsOf, withFound } from "../../src/web/walk/walk.ts";
import { expectAnswer } from "../support/acts.ts";
import { chainMachine } from "../support/machines.ts";
import { addTestMachine } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();

async function kitOf(who: string, machineId: string): Promise<OfflineBundle> {
  const bundle: FieldKit = await expectAnswer((await as(who)).get("/v1/field-kit").query({ machineId }), 200);
  return { ...bundle, staffId: app.cast.staffId(who), aheadMs: 0, machines: bundle.items, cut: false };
}
const only = (bundle: OfflineBundle): BundleMachine => {
  const [machine] = bundle.machines;
  if (!machine) throw new Error("the machine is in the kit");
  return machine;
};
const depotRulesIn = (bundle: OfflineBundle) => ({ timeZone: only(bundle).timeZone, policy: bundle.policy });

type Piece = WaitingCheck | WaitingDefect;
const about = (who: string, at: Date) => ({
  ...{ staffId: app.cast.staffId(who), staffName: who, registrationMark: "ANY", madeAt: at.toISOString() },
});

/** A whole walk of somebody who saw this, judged on the kit. */
function checkOf(who: string, bundle: OfflineBundle, seen: string | null): WaitingCheck {
  const machine = only(bundle);
  const model = bundle.models[0];
  if (!model) throw new Error("the model is in the kit");
  const at = app.context.clock.now();
  const checked = {
    ...{ machineId: machine.id, state: machine.state },
    features: model.features,
    handbook: model.handbook,
    engineCc: model.engineCc,
    ruleSet: machine.ruleSet,
    depotRules: depotRulesIn(bundle),
  };
  let walk = beginWalk(randomUUID(), app.cast.staffId(who), machine.id, at);
  walk = { ...walk, spentMs: 61_000, dayItemWell: true, done: stationsOf(model.features).map(({ id }) => id) };
  if (seen !== null) walk = withFound(walk, seen.split(".")[0] ?? "", { observationIds: [seen], note: "", photoIds: [] });
  const body = bodyOf(walk, checked, at);
  const judged = judge(checked, body, { staffId: app.cast.staffId(who), licenceClass: null }, at);
  if (judged.refused) throw new Error("a whole walk is not refused");
  return { kind: "check", id: walk.id, ...about(who, at), body, decision: judged.clearance.decision };
}
function defectOf(who: string, bundle: OfflineBundle, seen: string): WaitingDefect {
  const at = app.context.clock.now();
  const id = randomUUID();
  const body = { id, machineId: only(bundle).id, seenAt: at.toISOString(), itemId: seen.split(".")[0] ?? "", observationIds: [seen] };
  return { kind: "defect", id, ...about(who, at), body };
}
const send = async (piece: Piece): Promise<void> => {
  const who = piece.staffId === app.cast.staffId("R001") ? "R001" : "R002";
  await expectAnswer((await as(who)).post(piece.kind === "check" ? "/v1/daily-checks" : "/v1/defects").send(piece.body), 201);
};
/** What a rider is shown of the machine. */
const shown = (bundle: OfflineBundle) => {
  const { state } = only(bundle);
  const { standing, reasons } = standingAt(state, app.context.clock.now(), depotRulesIn(bundle));
  return {
    standing,
    reasons: reasons.map(({ code, itemId, category, day }) => ({ code, itemId, category, day })),
    cleared: state.clearances.map(({ checkId, validUntil, decision }) => ({ checkId, validUntil, decision })),
  };
};

const observations = itemsFor(chainMachine, "daily").flatMap((item) => item.observations.map(({ id }) => id));
/** What a rider wears is said in a check; no report takes it. */
const isAboutRider = (seen: string): boolean => seen.startsWith("rider-gear.");
const acts = fc.array(
  fc.record({
    who: fc.constantFrom("R001", "R002"),
    kind: fc.constantFrom("check", "defect"),
    seen: fc.option(fc.constantFrom(...observations), { nil: null }),
  }),
  { minLength: 1, maxLength: 4 },
);

test("whoever made what waits, the phone shows each rider what the service says once it has all of it", async () => {
  await fc.assert(
    fc.asyncProperty(acts, async (list) => {
      const machineId = await addTestMachine(app);
      const heard = await kitOf("R001", machineId);
      const heardByOther = await kitOf("R002", machineId);
      const pieces: Piece[] = [];
      for (const { who, kind, seen } of list) {
        app.context.clock.advance(60_000);
        const mine = layOver(who === "R001" ? heard : heardByOther, pieces, app.cast.staffId(who));
        pieces.push(kind === "check" || seen === null || isAboutRider(seen) ? checkOf(who, mine, seen) : defectOf(who, mine, seen));
      }
      const before = [layOver(heard, pieces, app.cast.staffId("R001")), layOver(heardByOther, pieces, app.cast.staffId("R002"))].map(shown);
      for (const piece of pieces) await send(piece);
      const after = [await kitOf("R001", machineId), await kitOf("R002", machineId)].map(shown);
      expect(before).toEqual(after);
    }),
    {
      numRuns: 25,
      endOnFailure: true,
      examples: [
        [
          [
            { who: "R001", kind: "check", seen: "front-brake-cable.frayed" },
            { who: "R002", kind: "check", seen: null },
          ],
        ],
        [
          [
            { who: "R002", kind: "check", seen: null },
            { who: "R001", kind: "defect", seen: "front-brake-cable.frayed" },
          ],
        ],
      ],
    },
  );
});

test("an answer on the screen is worth what the phone hears: it ends with a grounding and with its time, and not before", async () => {
  const machineId = await addTestMachine(app);
  const bundle = await kitOf("R001", machineId);
  const check = checkOf("R001", bundle, null);
  const receipt = await expectAnswer((await as("R001")).post("/v1/daily-checks").send(check.body), 201);
  const said = { checkId: check.id, riderId: check.staffId, performedAt: check.body.performedAt, clearance: receipt.clearance };
  const now = async () => {
    const heard = await kitOf("R001", machineId);
    return answerNow(said, only(heard).state, app.context.clock.now(), depotRulesIn(heard));
  };
  expect(await now()).toMatchObject({ decision: "ride", validUntil: receipt.clearance.validUntil, ended: null });
  app.context.clock.advance(60_000);
  await send(defectOf("R002", bundle, "horn.weak"));
  expect(await now()).toMatchObject({ decision: "ride-with-defects", ended: null });
  app.context.clock.advance(60_000);
  const groundedAt = app.context.clock.now().toISOString();
  await send(defectOf("R002", bundle, "front-brake-cable.frayed"));
  expect(await now()).toMatchObject({ decision: "do-not-ride", validUntil: null, ended: { groundedAt } });
  app.context.clock.advance(24 * 3_600_000);
  expect(await now()).toMatchObject({ decision: "run-out" });
});

test("what the service refused clears nobody, and what it tells still stands against the machine until it is put away or passed on", async () => {
  const machineId = await addTestMachine(app);
  const bundle = await kitOf("R001", machineId);
  const refused = { code: "not-valid", detail: "" };
  const nil = { ...checkOf("R001", bundle, null), refused };
  expect(shown(layOver(bundle, [nil], nil.staffId)).standing).toBe("unchecked");
  const found = { ...checkOf("R001", bundle, "front-brake-cable.frayed"), refused };
  const other = await kitOf("R002", machineId);
  expect(shown(layOver(other, [found], other.staffId)).standing).toBe("grounded");
  const passedOn = { ...found, passedOn: { name: "R002", at: found.madeAt } };
  expect(shown(layOver(other, [passedOn], other.staffId)).standing).toBe("unchecked");
});
