// What is sent and answered about depots, models, machines, their papers and their history.
import { z } from "zod";
import { isTimeZone } from "../rules/calendar.ts";
import type { MachineState } from "../rules/machine-state.ts";
import { policySchema, secondPersonSchema } from "../rules/policy.ts";
import { clearanceSchema, reasonSchema } from "./clearance.ts";
import { daySchema, idSchema, instantSchema, languageSchema, pageOf, pageQuerySchema, standingSchema, textSchema } from "./common.ts";
import { limits } from "./limits.ts";
import { featuresSchema, handbookSchema, ruleSetSchema } from "./machine-model.ts";
import { secretBesideShape } from "./people.ts";
import { putRightOftenSchema } from "./readiness.ts";

export const idParamsSchema = z.strictObject({ id: idSchema });

// Depots

const depotSecondPersonSchema = secondPersonSchema
  .nullable()
  .meta({ description: "when steering, wheels and brakes take a second person here; null: as the firm's policy says" });

const depotOverMidnightSchema = z
  .boolean()
  .nullable()
  .meta({ description: "whether a clearance may run over midnight here, never past its hours; null: as the firm's policy says" });

export const depotBodySchema = z
  .strictObject({
    name: textSchema(80),
    timeZone: z
      .string()
      .max(64)
      .refine(isTimeZone, { message: "is not the name of a place's time zone, such as Europe/London" })
      .meta({ description: "IANA name of a place's zone, or UTC; bare offsets are refused", example: "Europe/London" }),
    ruleSet: ruleSetSchema.default("gb"),
    workshopHoursPerDay: z.number().min(0).max(240).multipleOf(0.25).default(8).meta({ description: "of all benches together" }),
    secondPerson: depotSecondPersonSchema.default(null),
    clearanceOverMidnight: depotOverMidnightSchema.default(null),
  })
  .meta({ id: "DepotBody" });
export type DepotBody = z.infer<typeof depotBodySchema>;

export const depotAmendmentSchema = z
  .strictObject({
    name: textSchema(80).optional(),
    ruleSet: ruleSetSchema.optional().meta({ description: "which legal limits count from now on; what was judged before stays as judged" }),
    workshopHoursPerDay: z.number().min(0).max(240).multipleOf(0.25).optional(),
    secondPerson: depotSecondPersonSchema.optional(),
    clearanceOverMidnight: depotOverMidnightSchema.optional(),
  })
  .refine((body) => Object.values(body).some((value) => value !== undefined), { message: "say what is to change" })
  .meta({ id: "DepotAmendment" });
export type DepotAmendment = z.infer<typeof depotAmendmentSchema>;

export const depotSchema = z
  .object({
    id: idSchema,
    name: z.string(),
    timeZone: z.string(),
    ruleSet: ruleSetSchema,
    workshopHoursPerDay: z.number(),
    secondPerson: depotSecondPersonSchema,
    clearanceOverMidnight: depotOverMidnightSchema,
    addedAt: instantSchema,
  })
  .meta({ id: "Depot" });
export type Depot = z.infer<typeof depotSchema>;
export const depotListSchema = pageOf(depotSchema);

// Rule sets

export const sourceSchema = z
  .object({
    key: z.string(),
    title: z.string(),
    edition: z.string(),
    locator: z.string(),
    basis: z.enum(["read", "secondary", "from-memory", "common-practice"]).meta({ description: "how far it may be leaned on" }),
    note: z.string().optional(),
  })
  .meta({ id: "Source" });

export const ruleSetListSchema = z.object({
  items: z.array(
    z.object({
      id: ruleSetSchema,
      name: z.string(),
      figures: z.array(
        z.object({
          name: z.string(),
          text: z.string(),
          value: z.number().nullable().meta({ description: "null: not set" }),
          source: sourceSchema.nullable(),
        }),
      ),
      failedTest: z
        .object({ grounds: z.boolean(), text: z.string(), source: sourceSchema })
        .meta({ description: "what a roadworthiness test that is ended as `failed` does to its machine" }),
    }),
  ),
});
export type RuleSetList = z.infer<typeof ruleSetListSchema>;

// Models

const modelShape = {
  name: textSchema(80),
  engineCc: z.number().int().min(10).max(2500).nullable().meta({ description: "cm³; null for an electric machine, and only there" }),
  features: featuresSchema,
  handbook: handbookSchema,
};

export const modelBodySchema = z.strictObject(modelShape).meta({ id: "ModelBody" });
export type ModelBody = z.infer<typeof modelBodySchema>;

export const modelRevisionBodySchema = z
  .strictObject({ ...modelShape, revision: z.number().int().min(1).max(2_147_483_647).meta({ description: "the revision that was read" }) })
  .meta({ id: "ModelRevisionBody" });
export type ModelRevisionBody = z.infer<typeof modelRevisionBodySchema>;

export const modelSchema = z
  .object({
    id: idSchema,
    name: z.string(),
    engineCc: z.number().int().nullable(),
    features: featuresSchema,
    handbook: handbookSchema,
    revision: z.number().int(),
    addedAt: instantSchema,
  })
  .meta({ id: "MachineModel" });
export type MachineModel = z.infer<typeof modelSchema>;
export const modelListSchema = pageOf(modelSchema);

// Machines

const markTextSchema = z
  .string()
  .max(40)
  .meta({ description: "registration mark as painted; stored without spaces and in capitals", example: "AB12 CDE" });
const vinTextSchema = z.string().max(40).meta({ description: "17 characters without I, O and Q (ISO 3779)" });
const odometerKmSchema = z.number().int().min(0).max(limits.odometerKm);

export const machineBodySchema = z
  .strictObject({
    registrationMark: markTextSchema,
    vin: vinTextSchema.nullable().optional(),
    modelId: idSchema,
    depotId: idSchema,
    odometerKm: odometerKmSchema,
    inServiceFrom: daySchema,
  })
  .meta({ id: "MachineBody" });
export type MachineBody = z.infer<typeof machineBodySchema>;

export const machineAmendmentSchema = z
  .strictObject({
    registrationMark: markTextSchema.optional(),
    vin: vinTextSchema.nullable().optional(),
    modelId: idSchema.optional(),
    depotId: idSchema.optional(),
    inServiceFrom: daySchema.optional(),
    odometerKm: odometerKmSchema.optional().meta({ description: "what a new meter shows, or the right figure; with its `reason`" }),
    reason: textSchema(limits.withdrawalReason).optional().meta({ description: "why the odometer was set" }),
    withdrawn: z
      .strictObject({ reason: textSchema(limits.withdrawalReason) })
      .nullable()
      .optional()
      .meta({ description: "an object withdraws the machine from service; null brings it back, with an inspection due first" }),
    disposed: z
      .strictObject({ how: z.enum(["sold", "scrapped"]), note: textSchema(limits.withdrawalReason).optional() })
      .nullable()
      .optional()
      .meta({
        description:
          "an object takes the machine out of the fleet: it is on no board or list, its history stays, its mark is free; null brings it back, with an inspection due first",
      }),
  })
  .refine((body) => (body.odometerKm === undefined) === (body.reason === undefined), {
    message: "odometerKm and reason come together",
    path: ["reason"],
  })
  .refine((body) => Object.values(body).some((value) => value !== undefined), { message: "say what is to change" })
  .meta({ id: "MachineAmendment" });
export type MachineAmendment = z.infer<typeof machineAmendmentSchema>;

const machineWarningsSchema = z.array(z.object({ code: z.enum(["vin-check-digit", "vin-made-up"]), message: z.string() })).meta({
  description: "odd but kept, to be compared with the frame: the check digit is a North American rule, and what looks made up may be true",
});

export const machineSchema = z
  .object({
    id: idSchema,
    registrationMark: z.string(),
    vin: z.string().nullable(),
    modelId: idSchema,
    modelName: z.string(),
    depotId: idSchema,
    depotName: z.string(),
    inServiceFrom: daySchema,
    odometerKm: z.number().int(),
    odometerAt: instantSchema.meta({ description: "when the odometer was read last" }),
    standing: standingSchema,
    reasons: z.array(reasonSchema),
    putRightOften: z.array(putRightOftenSchema).meta({ description: "questions to the workshop; they ground nothing" }),
    lastInspectionAt: instantSchema.nullable(),
    yourClearance: clearanceSchema
      .pick({ decision: true, validUntil: true })
      .nullable()
      .meta({ description: "what it means for you: `fit` by the check of somebody else is no clearance of yours" }),
    warnings: machineWarningsSchema,
  })
  .meta({ id: "Machine" });
export type Machine = z.infer<typeof machineSchema>;
export const machineListSchema = pageOf(machineSchema);

export const historyQuerySchema = pageQuerySchema.extend({
  at: instantSchema.optional(),
  lang: languageSchema.default("en").meta({ description: "of what is told in words" }),
});
export const machineListQuerySchema = pageQuerySchema
  .extend({
    depotId: idSchema.optional(),
    standing: standingSchema.optional(),
    mark: markTextSchema.optional().meta({ description: "the machine with this registration mark, however it is written" }),
    vin: vinTextSchema.optional().meta({ description: "machines with this identification number, however it is written" }),
    disposed: z
      .enum(["only", "too"])
      .optional()
      .meta({ description: "machines that were sold or scrapped: these alone, or these as well; without it, none of them" }),
    at: instantSchema
      .optional()
      .meta({ description: "with `mark`: the machine of the fleet that carried it at that moment, as it stands now" }),
  })
  .refine(({ mark, at }) => at === undefined || mark !== undefined, { message: "goes with a mark", path: ["at"] });
export type MachineListQuery = z.infer<typeof machineListQuerySchema>;

// Import

export const machineFileSchema = z.string().meta({
  description:
    "CSV in UTF-8, separated by commas or semicolons, with the header registrationMark, model, depot, odometerKm, inServiceFrom and, if wanted, vin; model and depot by name",
});

export const importReceiptSchema = z
  .object({
    imported: z.number().int(),
    rows: z.array(
      z.object({
        row: z.number().int().meta({ description: "as a spreadsheet counts: the header is row 1" }),
        registrationMark: z.string(),
        machineId: idSchema,
        warnings: machineWarningsSchema,
      }),
    ),
  })
  .meta({ id: "ImportReceipt" });
export type ImportReceipt = z.infer<typeof importReceiptSchema>;

// History

// What a phone takes with it

export const fieldKitQuerySchema = pageQuerySchema.extend({
  depotId: idSchema.optional(),
  machineId: idSchema.optional().meta({ description: "this one only" }),
  since: instantSchema
    .optional()
    .meta({ description: "only machines of which something was recorded since; one that went to another depot is not told of" }),
});
export type FieldKitQuery = z.infer<typeof fieldKitQuerySchema>;

export const fieldKitSchema = z
  .object({
    at: instantSchema.meta({ description: "by the clock of the service: a phone sees by it how far off its own is" }),
    sheetVersion: z.string(),
    policy: policySchema,
    models: z.array(modelSchema).meta({ description: "those of the machines on this page" }),
    rides: z
      .array(
        z.object({
          ...{ depotId: idSchema, timeZone: z.string(), day: daySchema, machineId: idSchema, registrationMark: z.string() },
          keptAt: instantSchema,
        }),
      )
      .meta({ description: "what was kept of who rides what, from today on, for whoever asks; all of it on every page" }),
    items: z.array(
      z.object({
        id: idSchema,
        registrationMark: z.string(),
        modelId: idSchema,
        depotId: idSchema,
        depotName: z.string(),
        timeZone: z.string(),
        ruleSet: ruleSetSchema,
        secondPerson: depotSecondPersonSchema,
        clearanceOverMidnight: depotOverMidnightSchema,
        lately: z
          .object({
            checkedToday: z
              .object({ at: instantSchema, decision: clearanceSchema.shape.decision })
              .nullable()
              .meta({ description: "the newest check that somebody else made today: it clears them, not you" }),
            putRight: z
              .array(
                z.object({
                  ...{ itemId: z.string().nullable(), how: z.string(), at: instantSchema, by: z.string() },
                  campaign: z.string().optional().meta({ description: "the name of the campaign that it was the job of" }),
                }),
              )
              .meta({ description: "closed since the machine was last cleared for anybody, and by whom that was signed (49 CFR 396.13)" }),
            groundedBy: z
              .enum(["you", "somebody-else"])
              .nullable()
              .meta({ description: "who made the record that ended its clearances within the last day" }),
          })
          .meta({ description: "what the next rider of this machine is told" }),
        state: z.custom<MachineState>().meta({
          type: "object",
          description: "what is known of the machine; the rules in shared/rules judge by it. Not a promise: it may change with the service",
        }),
      }),
    ),
    nextCursor: z.string().nullable(),
  })
  .meta({ id: "FieldKit" });
export type FieldKit = z.infer<typeof fieldKitSchema>;

export const historyEntrySchema = z
  .object({
    id: idSchema,
    position: z.number().int().meta({ description: "place in the machine's chain of records, from 1" }),
    kind: z.string(),
    sentence: z.string().meta({ description: "what was done" }),
    what: z.string().meta({ description: "what the record says, in a few words; empty where the sentence says it all" }),
    performedAt: instantSchema,
    recordedAt: instantSchema,
    staffId: idSchema.nullable(),
    staffNumber: z.string().nullable(),
    staffName: z.string().nullable(),
    data: z.record(z.string(), z.unknown()).nullable().meta({ description: "null once what it said was forgotten" }),
    correctedBy: z.array(idSchema).meta({ description: "Later records that say something in this one is wrong" }),
    ...secretBesideShape,
  })
  .meta({ id: "HistoryEntry" });
export type HistoryEntry = z.infer<typeof historyEntrySchema>;
export const historySchema = pageOf(historyEntrySchema);
