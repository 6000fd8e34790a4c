// What the records say of daily checks and weekly inspections: what was sent, and what came of it.
import { z } from "zod";
import { categorySchema, competenceSchema } from "../contracts/common.ts";
import { quantitySchema, unitSchema } from "../contracts/quantities.ts";
import { defectOutcome } from "./defects.ts";
import { fromField, idOf, instant, photos, reason, sha256, standingShape, text, texts } from "./parts.ts";

const number = z.number();

const answer = {
  itemId: text,
  result: z.enum(["ok", "defect", "not-applicable"]),
  observationIds: texts.optional(),
  note: text.optional(),
  photoIds: z.array(idOf).optional(),
};
const load = z.enum(["solo", "laden"]);

/** of the sheet version that it names, null where there is no such version; since 2026-11-29 */
const sheetSha256 = sha256.nullable().exactOptional();

const limit = z.strictObject({
  kind: z.enum(["handbook", "legal", "common-practice", "not-set"]),
  least: number.nullable(),
  most: number.nullable(),
  unit: unitSchema,
  source: text,
});
const compared = z.strictObject({ value: number, unit: unitSchema });

const valueVerdict = z.strictObject({
  outcome: z.enum(["within", "adjust", "renew-soon", "fails", "not-set"]),
  category: categorySchema.nullable(),
  limit,
  offBy: number,
  compared: compared.exactOptional(),
  categoryBy: limit.exactOptional(),
  /** since 2026-11-29 */
  stillKept: limit.exactOptional(),
  measureAgain: z.literal(true).exactOptional(),
});

export const itemVerdict = z.strictObject({
  itemId: text,
  quantity: quantitySchema,
  reading: z.strictObject({ asFound: number, asLeft: number.optional(), unit: unitSchema }),
  asFound: valueVerdict,
  asLeft: valueVerdict.nullable(),
  result: z.enum(["within", "corrected", "defect", "not-set"]),
  category: categorySchema.nullable(),
});

const proofReading = z.strictObject({
  value: number,
  unit: unitSchema.optional(),
  // these two since 2026-11-29
  readTwice: z.boolean().optional(),
  load: load.optional(),
});

/** What a rider put right on the spot, with the verdict on the reading after it. */
const putRight = z.strictObject({
  ...{ itemId: text, observationIds: texts, note: text.nullable() },
  isRight: z.boolean(),
  load: load.nullable(),
  verdict: itemVerdict.nullable(),
});

const riderFinding = z.strictObject({ itemId: text, observationIds: texts, category: categorySchema, note: text.nullable() });

export const dailyCheck = z.strictObject({
  submitted: z.strictObject({
    id: idOf,
    machineId: idOf,
    sheetVersion: text,
    performedAt: instant,
    durationSeconds: number,
    odometerKm: number,
    answers: z.array(
      z.strictObject({
        ...answer,
        // these two since 2026-11-30
        result: z.enum(["ok", "defect", "put-right", "not-applicable"]),
        reading: proofReading.optional(),
      }),
    ),
    proof: proofReading.optional(),
    /** since 2026-11-29 */
    odometerRead: z.boolean().optional(),
  }),
  sheetSha256,
  photos,
  ...fromField,
  outcome: z.strictObject({
    flags: texts,
    clearance: z.strictObject({
      decision: z.enum(["ride", "ride-with-defects", "do-not-ride"]),
      validUntil: instant.nullable(),
      reasons: z.array(reason),
    }),
    defects: z.array(defectOutcome),
    // these three since 2026-11-29
    rider: z.strictObject({ stopped: z.boolean(), findings: z.array(riderFinding) }).exactOptional(),
    proof: itemVerdict.nullable().exactOptional(),
    pace: z.strictObject({ seconds: number, usualSeconds: number, leastSeconds: number }).exactOptional(),
    /** since 2026-11-30 */
    putRight: z.array(putRight).exactOptional(),
  }),
});

/** What to do after an inspection, item by item. A code is never renamed: `Guidance` in shared/rules/guidance.ts grows with it. */
const dueAtItem = {
  itemId: text,
  changed: z.boolean(),
  due: z.boolean(),
  by: z.enum(["distance", "days", "both"]).nullable(),
  kmLeft: number.nullable(),
  daysLeft: number.nullable(),
};

const guidance = z.discriminatedUnion("code", [
  z.strictObject({
    code: z.enum(["adjust", "renew-soon", "fails", "leak"]),
    itemId: text,
    quantity: quantitySchema,
    value: number,
    unit: unitSchema,
    limit,
    // these two since 2026-11-29
    compared: compared.optional(),
    stillKept: limit.optional(),
  }),
  z.strictObject({
    code: z.literal("chain"),
    itemId: text,
    chain: z.strictObject({
      axleTravelMm: number,
      flatsPerSide: number,
      flatsExact: number,
      direction: z.enum(["tighten", "slacken", "none"]),
    }),
  }),
  z.strictObject({ code: z.literal("chain-total-travel"), itemId: text }),
  z.strictObject({ code: z.literal("chain-worn"), itemId: text, elongationPercent: number, limitPercent: number }),
  z.strictObject({ code: z.literal("chain-adjuster-end"), itemId: text, usedMm: number, rangeMm: number }),
  z.strictObject({ code: z.literal("new-part"), itemId: text }),
  z.strictObject({ code: z.literal("expert"), itemId: text, competence: competenceSchema }),
  z.strictObject({ code: z.literal("second-person"), itemId: text }),
  /** since 2026-11-29 */
  z.strictObject({ code: z.literal("tighten"), itemId: text }),
  z.strictObject({ code: z.literal("oil-due"), ...dueAtItem }),
  /** since 2026-11-30 */
  z.strictObject({ code: z.literal("service-due"), ...dueAtItem }),
]);

export const weeklyInspection = z.strictObject({
  submitted: z.strictObject({
    id: idOf,
    machineId: idOf,
    sheetVersion: text,
    performedAt: instant,
    durationSeconds: number.optional(),
    odometerKm: number,
    answers: z.array(
      z.strictObject({
        ...answer,
        asFound: number.optional(),
        asLeft: number.optional(),
        unit: unitSchema.optional(),
        places: z.array(number).optional(),
        celsius: number.optional(),
        load: load.optional(),
        readTwice: z.boolean().optional(),
        /** since 2026-11-30 */
        advisories: z.array(z.strictObject({ defectId: idOf, now: z.enum(["stays", "gone", "worse"]) })).optional(),
        actions: z.array(z.enum(["adjusted", "lubricated", "topped-up", "cleaned", "tightened", "replaced"])).optional(),
      }),
    ),
  }),
  sheetSha256,
  photos,
  ...fromField,
  modelRevision: number,
  /** its day at the depot */
  localDay: text,
  /** with this inspection a minor defect passed its last day; kept because the state is rebuilt from it */
  grounded: z.boolean(),
  oilChangedAtKm: number.nullable(),
  /** since 2026-11-30: items whose interval of the handbook begins anew with this inspection; absent where none does */
  serviced: z.strictObject({ atKm: number, itemIds: texts }).exactOptional(),
  /** since 2026-11-29: who measured other than the signer; until then whoever measured also submitted it */
  measuredBy: z.array(z.strictObject({ staffId: idOf, itemIds: texts })).exactOptional(),
  outcome: z.strictObject({
    flags: texts,
    verdicts: z.array(itemVerdict),
    defects: z.array(defectOutcome),
    /** since 2026-11-29: until then an inspection closed nothing */
    closed: z.array(z.strictObject({ id: idOf, itemId: text.nullable(), status: z.enum(["signed-off", "not-found"]) })).exactOptional(),
    guidance: z.array(guidance),
    ...standingShape,
  }),
});
