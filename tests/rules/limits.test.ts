// What a page lets enter is what the contracts take: the limits that pages carry are read back out of the contracts here, one by one.
import { expect, test } from "vitest";
import { z } from "zod";
import { addCampaignBodySchema, endCampaignBodySchema } from "../../shared/contracts/campaigns.ts";
import { dailyCheckBodySchema, inspectionDraftBodySchema, weeklyInspectionBodySchema } from "../../shared/contracts/checks.ts";
import {
  deferralBodySchema,
  notFoundBodySchema,
  regradeBodySchema,
  repairBodySchema,
  reportDefectBodySchema,
  signOffBodySchema,
} from "../../shared/contracts/defects.ts";
import { fallBodySchema } from "../../shared/contracts/falls.ts";
import { limits } from "../../shared/contracts/limits.ts";
import { sendOutBodySchema, takeBackBodySchema } from "../../shared/contracts/outside-work.ts";
import { paperBodySchema, paperEndingBodySchema } from "../../shared/contracts/papers.ts";
import { partBodySchema, partParamsSchema, stockBodySchema } from "../../shared/contracts/parts.ts";
import { signInBodySchema } from "../../shared/contracts/people.ts";
import { correctionBodySchema } from "../../shared/contracts/records.ts";

/** The JSON Schema of a field of the contract, by its path; `*` steps into a list. */
function fieldOf(contract: z.ZodType, path: string): Record<string, unknown> {
  // biome-ignore lint/suspicious/noExplicitAny: a JSON Schema is walked by names
  const whole = z.toJSONSchema(contract, { io: "input", unrepresentable: "any" }) as any;
  const resolve = (schema: typeof whole): typeof whole =>
    typeof schema?.$ref === "string" ? resolve(whole.$defs[schema.$ref.split("/").at(-1)]) : schema;
  return path.split("/").reduce((schema, name) => resolve(name === "*" ? resolve(schema).items : resolve(schema).properties[name]), whole);
}

test.each<[string, string, number, z.ZodType]>([
  ["answers/*/note", "maxLength", limits.note, dailyCheckBodySchema],
  ["answers/*/photoIds", "maxItems", limits.photos, dailyCheckBodySchema],
  ["answers/*/observationIds", "maxItems", limits.observations, dailyCheckBodySchema],
  ["odometerKm", "maximum", limits.odometerKm, dailyCheckBodySchema],
  ["durationSeconds", "maximum", limits.checkSeconds, dailyCheckBodySchema],
  ["answers/*/note", "maxLength", limits.note, weeklyInspectionBodySchema],
  ["answers/*/photoIds", "maxItems", limits.photos, weeklyInspectionBodySchema],
  ["answers/*/places", "maxItems", limits.places, weeklyInspectionBodySchema],
  ["answers/*/celsius", "minimum", limits.celsius.least, weeklyInspectionBodySchema],
  ["answers/*/celsius", "maximum", limits.celsius.most, weeklyInspectionBodySchema],
  ["odometerKm", "maximum", limits.odometerKm, weeklyInspectionBodySchema],
  ["answers/*/note", "maxLength", limits.note, inspectionDraftBodySchema],
  ["notes", "maxLength", limits.draftNotes, inspectionDraftBodySchema],
  ["note", "maxLength", limits.note, reportDefectBodySchema],
  ["photoIds", "maxItems", limits.photos, reportDefectBodySchema],
  ["name", "maxLength", limits.campaignName, addCampaignBodySchema],
  ["job", "maxLength", limits.note, addCampaignBodySchema],
  ["modelIds", "maxItems", limits.campaignModels, addCampaignBodySchema],
  ["machineIds", "maxItems", limits.campaignMachines, addCampaignBodySchema],
  ["reason", "maxLength", limits.note, endCampaignBodySchema],
  ["workshop", "maxLength", limits.workshop, sendOutBodySchema],
  ["reason", "maxLength", limits.note, sendOutBodySchema],
  ["workDone", "maxLength", limits.workDone, takeBackBodySchema],
  ["repaired", "maxItems", limits.repairedThere, takeBackBodySchema],
  ["photoIds", "maxItems", limits.photos, takeBackBodySchema],
  ["hit", "maxLength", limits.fallWords, fallBodySchema],
  ["bent/*", "maxLength", limits.fallWords, fallBodySchema],
  ["bent", "maxItems", limits.partsBent, fallBodySchema],
  ["photoIds", "maxItems", limits.photos, fallBodySchema],
  ["workDone", "maxLength", limits.workDone, repairBodySchema],
  ["minutes", "maximum", limits.minutes, repairBodySchema],
  ["parts", "maxItems", limits.parts, repairBodySchema],
  ["parts/*/name", "maxLength", limits.partName, repairBodySchema],
  ["parts/*/quantity", "maximum", limits.partQuantity, repairBodySchema],
  ["name", "maxLength", limits.partName, partBodySchema],
  ["number", "maxLength", limits.listedPartNumber, partParamsSchema],
  ["quantity", "maximum", limits.stockQuantity, stockBodySchema],
  ["statement", "maxLength", limits.note, signOffBodySchema],
  ["reason", "maxLength", limits.note, deferralBodySchema],
  ["reason", "maxLength", limits.note, notFoundBodySchema],
  ["reason", "maxLength", limits.note, regradeBodySchema],
  ["reason", "maxLength", limits.correction, correctionBodySchema],
  ["pointer", "maxLength", limits.correctionPointer, correctionBodySchema],
  ["number", "maxLength", limits.paperNumber, paperBodySchema],
  ["note", "maxLength", limits.paperNote, paperEndingBodySchema],
  ["staffNumber", "maxLength", limits.staffNumber, signInBodySchema],
  ["secret", "maxLength", limits.signInSecret, signInBodySchema],
])("a page lets enter what the contract takes: %s, %s, %d", (path, bound, limit, contract) => {
  expect(fieldOf(contract, path)[bound]).toBe(limit);
});
