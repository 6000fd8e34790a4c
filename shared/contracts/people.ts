// Signing in, the people of the firm, and the firm's own choices.
import { z } from "zod";
import { leastSecretLength, mostSecretLength } from "../rules/secret.ts";
import { competenceSchema, idSchema, instantSchema, pageOf, pageQuerySchema, roleSchema, textSchema } from "./common.ts";
import { limits } from "./limits.ts";

/** A staff number as it is stored: capitals, digits and hyphens; typed in any case. */
export const staffNumberSchema = z
  .string()
  .trim()
  .toUpperCase()
  .regex(/^[A-Z0-9-]{2,20}$/, "is 2 to 20 letters, digits or hyphens")
  .meta({ description: "Stored in capitals", example: "R001" });

const secretSchema = z
  .string()
  .min(leastSecretLength)
  .max(mostSecretLength)
  .meta({ description: "8 to 200 characters; only its Argon2id hash is kept" });
const personNameSchema = textSchema(120);
const licenceClassSchema = textSchema(12).meta({ description: "Class on the driving licence, as the country writes it", example: "A1" });
const depotIdsSchema = z.array(idSchema).max(200);
const competencesSchema = z.array(competenceSchema).max(competenceSchema.options.length);

const rolesSchema = z
  .array(roleSchema)
  .min(1)
  .max(roleSchema.options.length)
  .meta({ description: "what they may do together; the first says where their pages begin" });
/** A body names one role, or several, or both where the one is the first of the several. */
const rolesAgree = ({ role, roles }: { readonly role?: string | undefined; readonly roles?: readonly string[] | undefined }): boolean =>
  role === undefined || roles === undefined || roles[0] === role;
const rolesTwice = ({ roles = [] }: { readonly roles?: readonly string[] | undefined }): boolean => new Set(roles).size < roles.length;

/** A person as everybody in the firm may see them. */
export const personSchema = z
  .object({
    id: idSchema,
    staffNumber: z.string(),
    name: z.string(),
    role: roleSchema.meta({ description: "the first of their roles" }),
    roles: rolesSchema,
    allDepots: z.boolean(),
    depotIds: z.array(idSchema),
    competences: z.array(competenceSchema),
    licenceClass: z.string().nullable(),
    mustChangeSecret: z.boolean().meta({
      description:
        "Their secret is a one-time code: until they choose one of their own, only changeSecret, whoAmI and signOut take their calls",
    }),
  })
  .meta({ id: "Person" });
export type Person = z.infer<typeof personSchema>;

/** Only the length of what is typed at sign-in is limited: a malformed staff number is answered like a wrong one. */
export const signInBodySchema = z.strictObject({
  staffNumber: textSchema(limits.staffNumber).toUpperCase(),
  secret: z.string().min(1).max(limits.signInSecret),
});
export type SignInBody = z.infer<typeof signInBodySchema>;

export const renewalBodySchema = z.strictObject({ refreshToken: z.string().min(1).max(200) });
export type RenewalBody = z.infer<typeof renewalBodySchema>;

export const signedInSchema = z
  .object({
    accessToken: z.string().meta({ description: "ES256 JWT, to be sent as Authorization: Bearer" }),
    refreshToken: z.string().meta({ description: "Good for one renewal" }),
    expiresInSeconds: z.number().int().meta({ description: "life of the access token" }),
    person: personSchema,
    mustChangeSecret: z.boolean().meta({ description: "As the person's: choose a secret with changeSecret before anything else" }),
  })
  .meta({ id: "SignedIn" });
export type SignedIn = z.infer<typeof signedInSchema>;

/** What a page learns of a sign-in: everything but the tokens. */
export const sessionSchema = signedInSchema
  .pick({ expiresInSeconds: true, person: true, mustChangeSecret: true })
  .meta({ id: "Session", description: "The tokens are in cookies" });
export type Session = z.infer<typeof sessionSchema>;

export const signedOutSchema = z.object({ signedOut: z.literal(true) });

export const changeSecretBodySchema = z.strictObject({
  current: z.string().min(1).max(mostSecretLength).meta({ description: "The present secret, or the one-time code" }),
  secret: secretSchema.meta({ description: "8 to 200 characters; neither the present secret nor the staff number" }),
});
export type ChangeSecretBody = z.infer<typeof changeSecretBodySchema>;

/** Shown with what somebody signed within a day after another person had set their secret, so that a reader can ask who really signed. */
export const secretBesideShape = {
  secretResetAt: instantSchema.nullable().meta({
    description:
      "Somebody else had set the signer's secret, and it was set or first chosen within 24 hours before this: when it was set. Else null",
  }),
  secretResetBy: z
    .object({ staffId: idSchema, staffNumber: z.string(), name: z.string() })
    .nullable()
    .meta({ description: "Who had set it, as they are called now; null: whoever runs the service" }),
  secretChosenAt: instantSchema.nullable().meta({ description: "When a secret was chosen with that one-time code" }),
};
const secretBesideSchema = z.object(secretBesideShape);
export type SecretBeside = z.infer<typeof secretBesideSchema>;

export const secretChangedSchema = z
  .object({ person: personSchema, secretChangedAt: instantSchema, sessionsEnded: z.number().int() })
  .meta({ id: "SecretChanged", description: "This session goes on; the person's others have ended" });
export type SecretChanged = z.infer<typeof secretChangedSchema>;

export const secretEventSchema = z
  .object({
    what: z.enum(["set", "chosen", "changed"]).meta({
      description: "set: by somebody else, as a one-time code; chosen: their own after that; changed: their own in place of their own",
    }),
    at: instantSchema,
    by: z.object({ staffNumber: z.string(), name: z.string() }).nullable().meta({ description: "null: at the founding of the firm" }),
  })
  .meta({ id: "SecretEvent" });
export type SecretEvent = z.infer<typeof secretEventSchema>;

export const whoAmISchema = z
  .object({
    person: personSchema,
    role: roleSchema,
    roles: rolesSchema,
    depots: z.array(z.object({ id: idSchema, name: z.string(), timeZone: z.string() })),
    competences: z.array(competenceSchema),
    mustChangeSecret: z.boolean(),
    codeExpiresAt: instantSchema.nullable().meta({ description: "Where the secret is a one-time code: when it runs out" }),
    secretChangedAt: instantSchema.nullable().meta({ description: "When the secret became what it is; null where that was not recorded" }),
    secretEvents: z
      .array(secretEventSchema)
      .meta({ description: "The last ten, newest first: whoever finds one that was not theirs tells it" }),
  })
  .meta({ id: "WhoAmI", description: "Depots by name: the person's own, or all of them" });
export type WhoAmI = z.infer<typeof whoAmISchema>;

/** RFC 7517, public members only. */
export const publicKeySetSchema = z
  .object({
    keys: z.array(
      z.object({
        kty: z.literal("EC"),
        crv: z.literal("P-256"),
        x: z.string(),
        y: z.string(),
        kid: z.string(),
        alg: z.literal("ES256"),
        use: z.literal("sig"),
      }),
    ),
  })
  .meta({ id: "PublicKeySet", description: "RFC 7517 JWK set; kid is the RFC 7638 thumbprint" });
export type PublicKeySet = z.infer<typeof publicKeySetSchema>;

/** A person as a manager sees them. */
export const staffMemberSchema = personSchema
  .extend({
    addedAt: instantSchema,
    leftAt: instantSchema.nullable(),
    lockedUntil: instantSchema.nullable(),
    codeExpiresAt: instantSchema.nullable().meta({ description: "Where the secret is a one-time code: when it runs out" }),
  })
  .meta({ id: "StaffMember" });
export type StaffMember = z.infer<typeof staffMemberSchema>;

export const memberWithCodeSchema = staffMemberSchema
  .extend({
    oneTimeCode: z
      .string()
      .optional()
      .meta({ description: "The one-time code, where the service made it: told this once", example: "k7qd-93mx-t4vb" }),
  })
  .meta({ id: "StaffMemberWithCode" });
export type MemberWithCode = z.infer<typeof memberWithCodeSchema>;

export const staffQuerySchema = pageQuerySchema.extend({
  role: roleSchema.optional(),
  depotId: idSchema.optional(),
  state: z.enum(["active", "left", "all"]).default("active"),
});
export type StaffQuery = z.infer<typeof staffQuerySchema>;
export const staffPageSchema = pageOf(staffMemberSchema);

export const addStaffBodySchema = z
  .strictObject({
    staffNumber: staffNumberSchema,
    name: personNameSchema,
    role: roleSchema.optional().meta({ description: "for one role; for several `roles`" }),
    roles: rolesSchema.optional(),
    allDepots: z.boolean().default(false),
    depotIds: depotIdsSchema.default([]),
    competences: competencesSchema.default([]),
    licenceClass: licenceClassSchema.nullable().default(null),
    secret: secretSchema.optional().meta({
      description: "A one-time code of the manager's: it opens the choice of a secret of one's own. Left out, the service makes one",
    }),
  })
  .refine(({ role, roles }) => role !== undefined || roles !== undefined, { message: "is missing", path: ["role"] })
  .refine(rolesAgree, { message: "is the first of the roles", path: ["role"] })
  .refine((body) => !rolesTwice(body), { message: "names one twice", path: ["roles"] });
export type AddStaffBody = z.infer<typeof addStaffBodySchema>;

export const staffParamsSchema = z.strictObject({ id: idSchema });

/** Only what is named changes. The staff number never does: records are read by it. */
export const amendStaffBodySchema = z
  .strictObject({
    name: personNameSchema.optional(),
    role: roleSchema.optional().meta({ description: "another role than the first: that one alone, in place of all that they have" }),
    roles: rolesSchema.optional(),
    allDepots: z.boolean().optional(),
    depotIds: depotIdsSchema.optional(),
    competences: competencesSchema.optional(),
    licenceClass: licenceClassSchema.nullable().optional(),
    secret: secretSchema
      .optional()
      .meta({ description: "A one-time code: lifts a lock, ends the person's sessions, and opens the choice of a secret of their own" }),
    left: z.literal(true).optional().meta({ description: "The person leaves now; their sessions end" }),
  })
  .refine((body) => Object.keys(body).length > 0, "names nothing to change")
  .refine(rolesAgree, { message: "is the first of the roles", path: ["role"] })
  .refine((body) => !rolesTwice(body), { message: "names one twice", path: ["roles"] });
export type AmendStaffBody = z.infer<typeof amendStaffBodySchema>;
