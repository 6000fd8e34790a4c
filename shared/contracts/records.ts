// Proof for those who do not take our word for it: checkpoints, that a record is included, that one checkpoint continues another.
import { z } from "zod";
import { idSchema, instantSchema, listOf, monthSchema, pageOf, textSchema } from "./common.ts";
import { limits } from "./limits.ts";
import { secretBesideShape } from "./people.ts";

export const sha256Schema = z
  .string()
  .regex(/^[0-9a-f]{64}$/)
  .meta({ description: "SHA-256 in hex" });

export const checkpointSchema = z
  .object({
    number: z.number().int().meta({ description: "Counts from 1" }),
    treeSize: z.number().int().meta({ description: "How many entries the tree holds" }),
    rootSha256: sha256Schema,
    takenAt: instantSchema,
    chainCount: z
      .number()
      .int()
      .nullable()
      .meta({ description: "How many chains the records form; null in a checkpoint from before it was stated" }),
    chainsSha256: sha256Schema.nullable().meta({
      description: "Hash over the list of all chains, each with its length and its last hash, as the format of the audit pack has it",
    }),
    kid: z.string().meta({ description: "The key that signed it, by its id in the published key set" }),
    jws: z.string().meta({ description: "JWS in compact form (RFC 7515); its payload says number, size, root, moment and chains" }),
  })
  .meta({ id: "Checkpoint" });
export type Checkpoint = z.infer<typeof checkpointSchema>;

export const checkpointPageSchema = pageOf(checkpointSchema).meta({ id: "CheckpointPage" });

export const recordProofSchema = z
  .object({
    entry: z
      .object({
        id: idSchema,
        chainId: idSchema,
        position: z.number().int(),
        kind: z.string(),
        version: z.number().int(),
        machineId: idSchema.nullable(),
        depotId: idSchema.nullable(),
        staffId: idSchema.nullable(),
        performedAt: instantSchema,
        recordedAt: instantSchema,
        dataSha256: sha256Schema,
        previousSha256: sha256Schema.nullable(),
      })
      .meta({ description: "What the hash is taken of: these members as canonical JSON (RFC 8785)" }),
    sha256: sha256Schema.meta({ description: "Hash of the entry; its 32 bytes are the leaf's data" }),
    data: z.record(z.string(), z.unknown()).nullable().meta({ description: "What it says; null once it was forgotten" }),
    salt: z.string().nullable().meta({ description: 'Hex; dataSha256 is the hash of {"data", "salt"} as canonical JSON' }),
    forgottenBy: idSchema.nullable().meta({ description: "The entry that records the forgetting" }),
    leafIndex: z.number().int().meta({ description: "Its place among the leaves, from 0" }),
    inclusion: z.array(sha256Schema).meta({ description: "The path of RFC 6962 2.1.1, from the leaf upwards" }),
    checkpoint: checkpointSchema,
    consistency: z
      .object({ from: checkpointSchema, proof: z.array(sha256Schema) })
      .nullable()
      .meta({ description: "That the checkpoint continues an earlier one that you kept: ask with ?since=" }),
  })
  .meta({ id: "RecordProof" });
export type RecordProof = z.infer<typeof recordProofSchema>;

export const recordParamsSchema = z.strictObject({ id: idSchema });
export const proofQuerySchema = z.strictObject({
  since: z.coerce.number().int().min(1).max(2_147_483_647).optional().meta({ description: "Number of a checkpoint that you hold" }),
});

export const consistencyQuerySchema = z.strictObject({
  earlier: z.coerce.number().int().min(1).max(2_147_483_647).meta({ description: "Number of the checkpoint that you hold" }),
  later: z.coerce.number().int().min(1).max(2_147_483_647),
});
export const consistencySchema = z
  .object({
    earlier: checkpointSchema,
    later: checkpointSchema,
    proof: z.array(sha256Schema).meta({ description: "PROOF of RFC 6962 2.1.2; empty where the sizes are the same" }),
  })
  .meta({ id: "CheckpointConsistency" });
export type CheckpointConsistency = z.infer<typeof consistencySchema>;

export const checkpointParamsSchema = z.strictObject({
  number: z.coerce.number().int().min(1).max(2_147_483_647).meta({ description: "Number of the checkpoint" }),
});
export const checkpointTimeStampSchema = z
  .object({
    number: z.number().int(),
    sha256: sha256Schema.meta({ description: "SHA-256 of the checkpoint's `jws`, which is what was stamped, and its print on papers" }),
    stampedAt: instantSchema.meta({ description: "The moment that the authority says: the checkpoint existed before it" }),
    authority: z.string().meta({ description: "What the certificate of the signer calls it" }),
    isBelieved: z.boolean().meta({
      description:
        "Its certificate was issued by an authority that the settings name; false: they name none, and who signed was not judged",
    }),
    token: z.string().meta({
      description:
        "Time-stamp token of RFC 3161, DER in base64. Decoded: openssl ts -verify -token_in -in TOKEN -digest SHA256 -CAfile AUTHORITY.pem",
    }),
    receivedAt: instantSchema,
  })
  .meta({ id: "CheckpointTimeStamp" });
export type CheckpointTimeStamp = z.infer<typeof checkpointTimeStampSchema>;

/** Which entries a month has: those that reached the service within it, on the wall calendar of the depot they belong to. */
export const monthRecordsQuerySchema = z
  .strictObject({
    month: monthSchema.optional().meta({
      description:
        "The month in which an entry reached the service, by the calendar of its depot. What belongs to no depot (policy, models, people of several depots) is in every answer: by the calendar of the depot asked for, by UTC where several are asked for",
    }),
    depotId: idSchema.optional().meta({ description: "One depot; all in your view where it is left out" }),
    since: instantSchema.optional().meta({
      description: "Only what reached the service at this moment or later; without a month: up to now, of every depot in your view",
    }),
    kind: listOf(z.string().regex(/^[a-z-]{1,40}$/, "is no kind of entry"))
      .optional()
      .meta({ description: "One or more kinds of entry, separated by commas" }),
    machineId: idSchema.optional().meta({ description: "Only the entries of this machine's chain" }),
    format: z.enum(["ndjson", "csv"]).default("ndjson").meta({
      description:
        "ndjson: a line an entry, canonical JSON (RFC 8785) with both of its hashes and what they are taken of. csv: a row an entry for a spreadsheet",
    }),
  })
  .refine(({ month, since }) => month !== undefined || since !== undefined, {
    path: ["month"],
    error: "is needed where since is left out",
  });
export type MonthRecordsQuery = z.infer<typeof monthRecordsQuerySchema>;

export const correctionBodySchema = z.strictObject({
  id: idSchema,
  pointer: z
    .string()
    .regex(/^(\/([^/~]|~[01])*)+$/, "is not a JSON Pointer (RFC 6901)")
    .max(limits.correctionPointer)
    .optional()
    .meta({
      description: "Which value of the record's data is wrong, RFC 6901; left out: the record as a whole",
      example: "/submitted/odometerKm",
    }),
  right: z.union([textSchema(limits.correction), z.number(), z.boolean()]).meta({ description: "What is right instead" }),
  reason: textSchema(limits.correction),
});
export type CorrectionBody = z.infer<typeof correctionBodySchema>;

export const correctionSchema = z
  .object({
    id: idSchema,
    corrects: idSchema,
    pointer: z.string().nullable(),
    was: z.unknown().meta({ description: "The value as the record has it; null for the record as a whole" }),
    right: z.union([z.string(), z.number(), z.boolean()]),
    reason: z.string(),
    staffId: idSchema,
    recordedAt: instantSchema,
  })
  .meta({ id: "Correction" });
export type Correction = z.infer<typeof correctionSchema>;

export const shownRecordSchema = z
  .object({
    record: z.object({
      id: idSchema,
      kind: z.string(),
      sentence: z.string(),
      machineId: idSchema.nullable(),
      depotId: idSchema.nullable(),
      staffId: idSchema.nullable(),
      performedAt: instantSchema,
      recordedAt: instantSchema,
      data: z.record(z.string(), z.unknown()).nullable(),
      sha256: sha256Schema,
    }),
    called: z
      .object({
        machine: z.string().nullable(),
        depot: z.string().nullable(),
        staff: z.object({ name: z.string(), staffNumber: z.string() }).nullable(),
      })
      .meta({ description: "What the ids of the record are called now: names are no part of it, and can change or be taken away" }),
    ...secretBesideShape,
    corrections: z
      .array(correctionSchema)
      .meta({ description: "What was said to be wrong in it later, oldest first; the record stays as it is" }),
  })
  .meta({ id: "ShownRecord" });
export type ShownRecord = z.infer<typeof shownRecordSchema>;
