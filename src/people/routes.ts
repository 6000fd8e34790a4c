import { z } from "zod";
import {
  addStaffBodySchema,
  amendStaffBodySchema,
  changeSecretBodySchema,
  memberWithCodeSchema,
  publicKeySetSchema,
  renewalBodySchema,
  type SignedIn,
  type SignInBody,
  secretChangedSchema,
  sessionSchema,
  signedInSchema,
  signedOutSchema,
  signInBodySchema,
  staffMemberSchema,
  staffPageSchema,
  staffParamsSchema,
  staffQuerySchema,
  whoAmISchema,
} from "../../shared/contracts/people.ts";
import { liftPolicy, policyAmendmentSchema, policySchema } from "../../shared/rules/policy.ts";
import { publishedKeys } from "../keys/index.ts";
import { act, anyone, firm, inView, manager, none, type OpenCall, own, shared, signedIn, tableOf } from "../platform/index.ts";
import { addStaff, newPerson } from "./add-staff.ts";
import { amendStaff } from "./amend-staff.ts";
import { changePolicy } from "./change-policy.ts";
import { changeSecret } from "./change-secret.ts";
import { type PeopleContext, route, routes } from "./context.ts";
import { dropCookies, keepInCookies, mustBeOurPage, refreshCookieOf, rememberDevice, sourceOf } from "./cookies.ts";
import { listStaff } from "./list-staff.ts";
import { renewSignIn } from "./renew-sign-in.ts";
import { resetSecret } from "./reset-secret.ts";
import { particularsOf } from "./rules.ts";
import { person } from "./show-staff.ts";
import { signIn } from "./sign-in.ts";
import { signOut } from "./sign-out.ts";
import { readPolicy } from "./store.ts";
import { whoAmI } from "./who-am-i.ts";

const limitPerMinute = (context: PeopleContext): number => context.config.signInLimitPerMinute;

/** Signs in, and leaves the mark by which this device is known again. */
async function signInHere({ context, body, request, reply }: OpenCall<unknown, unknown, SignInBody, PeopleContext>): Promise<SignedIn> {
  const { signedIn, deviceToken } = await signIn(context, body, sourceOf(request));
  rememberDevice(context, request, reply, deviceToken);
  return signedIn;
}

// biome-ignore format: a table of operations, each with its address, who may call it, and whose depot it is about
const table = tableOf({
  signIn:       ["POST /v1/sign-in",                anyone,   none],
  renewSignIn:  ["POST /v1/sign-in/renewal",        anyone,   none],
  openSession:  ["POST /v1/session",                anyone,   none],
  renewSession: ["POST /v1/session/renewal",        anyone,   none],
  signOut:      ["POST /v1/sign-out",               signedIn, own],
  whoAmI:       ["GET /v1/me",                      signedIn, own],
  changeSecret: ["PUT /v1/me/secret",               signedIn, own],
  publicKeys:   ["GET /.well-known/jwks.json",      anyone,   shared],
  listStaff:    ["GET /v1/staff",                   manager,  inView],
  addStaff:     ["POST /v1/staff",                  manager,  newPerson],
  showStaff:    ["GET /v1/staff/:id",               manager,  person],
  amendStaff:   ["PATCH /v1/staff/:id",             manager,  act],
  resetSecret:  ["POST /v1/staff/:id/secret-reset", manager,  act],
  showPolicy:   ["GET /v1/policy",                  signedIn, shared],
  changePolicy: ["PUT /v1/policy",                  manager,  firm],
  amendPolicy:  ["PATCH /v1/policy",                manager,  firm],
});

export const peopleRoutes = routes("people", table, {
  signIn: route({
    summary: "Sign in with staff number and secret",
    heavy: "secret",
    limitPerMinute,
    body: signInBodySchema,
    answers: { 200: signedInSchema },
    handler: (call) => signInHere(call),
  }),
  renewSignIn: route({
    summary: "Trade a refresh token for new tokens; a token that comes twice ends its session",
    limitPerMinute,
    body: renewalBodySchema,
    answers: { 200: signedInSchema },
    handler: ({ context, body }) => renewSignIn(context, body),
  }),
  openSession: route({
    summary: "Sign in on a page of this service: the tokens go into cookies that scripts cannot read",
    heavy: "secret",
    limitPerMinute,
    body: signInBodySchema,
    answers: { 200: sessionSchema },
    handler: async (call) => {
      mustBeOurPage(call.request);
      return keepInCookies(call.context, call.request, call.reply, await signInHere(call));
    },
  }),
  renewSession: route({
    summary: "Trade the refresh token in the cookie for new tokens",
    limitPerMinute,
    answers: { 200: sessionSchema },
    handler: async ({ context, request, reply }) =>
      keepInCookies(
        ...([context, request, reply] as const),
        await renewSignIn(context, { refreshToken: refreshCookieOf(request) }, sourceOf(request).deviceToken),
      ),
  }),
  signOut: route({
    summary: "End this session",
    withCode: true,
    answers: { 200: signedOutSchema },
    handler: async ({ context, actor, request, reply }) => {
      const answer = await signOut(context, actor);
      dropCookies(context, request, reply);
      return answer;
    },
  }),
  whoAmI: route({
    summary: "The person who calls, with role, depots, competences, and what happened to their secret",
    withCode: true,
    answers: { 200: whoAmISchema },
    handler: ({ context, actor }) => whoAmI(context, actor),
  }),
  changeSecret: route({
    summary: "Choose a secret of one's own in place of the present one or of a one-time code",
    heavy: "secret",
    withCode: true,
    limitPerMinute,
    body: changeSecretBodySchema,
    answers: { 200: secretChangedSchema },
    handler: ({ context, actor, body, request }) => changeSecret(context, actor, body, sourceOf(request)),
  }),
  publicKeys: route({
    summary: "The public keys of all that is or was signed here: access tokens, checkpoints and audit packs",
    answers: { 200: publicKeySetSchema },
    handler: ({ context, reply }) => {
      // Others may keep it for a while: a new key is published before it signs.
      reply.header("cache-control", "public, max-age=300");
      return publishedKeys(context);
    },
  }),
  listStaff: route({
    summary: "People of the manager's depots, by staff number",
    query: staffQuerySchema,
    answers: { 200: staffPageSchema },
    handler: ({ context, found, query }) => listStaff(context, found, query),
  }),
  addStaff: route({
    summary: "Add a person, who begins with a one-time code",
    heavy: "secret",
    body: addStaffBodySchema,
    answers: { 201: memberWithCodeSchema },
    location: ({ id }) => `/v1/staff/${id}`,
    // The code is shown once only, so it is not kept for a repeated call; if it was lost, a reset makes a new one.
    keyed: ({ oneTimeCode: _told, ...member }) => member,
    handler: ({ context, actor, body }) => addStaff(context, actor, body),
  }),
  showStaff: route({
    summary: "A person of the manager's depots",
    params: staffParamsSchema,
    answers: { 200: staffMemberSchema },
    tagged: particularsOf,
    handler: ({ found }) => found,
  }),
  amendStaff: route({
    summary: "Change a person's particulars, give them a one-time code, or note that they leave",
    heavy: "secret",
    params: staffParamsSchema,
    body: amendStaffBodySchema,
    answers: { 200: staffMemberSchema },
    tagged: particularsOf,
    handler: ({ context, actor, params, body, ifMatch }) => amendStaff(context, actor, params.id, body, ifMatch),
  }),
  resetSecret: route({
    summary: "Put a one-time code in the place of a person's secret; it is told this once",
    heavy: "secret",
    params: staffParamsSchema,
    answers: { 200: memberWithCodeSchema },
    handler: ({ context, actor, params }) => resetSecret(context, actor, params.id),
  }),
  showPolicy: route({
    summary: "What the firm has chosen where it may choose",
    answers: { 200: policySchema },
    tagged: (policy) => policy,
    handler: ({ context }) => readPolicy(context.db.prisma),
  }),
  changePolicy: route({
    summary: "Replace the policy; what is left out goes back to its default",
    body: z.preprocess(liftPolicy, policySchema),
    answers: { 200: policySchema },
    tagged: (policy) => policy,
    handler: ({ context, actor, body, ifMatch }) => changePolicy(context, actor, () => body, ifMatch),
  }),
  amendPolicy: route({
    summary: "Change what the body names; what is left out stays as it is",
    body: policyAmendmentSchema,
    answers: { 200: policySchema },
    tagged: (policy) => policy,
    handler: ({ context, actor, body, ifMatch }) => changePolicy(context, actor, (before) => ({ ...before, ...body }), ifMatch),
  }),
});
