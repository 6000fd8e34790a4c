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
import { publishedKeys } from "../ledger/index.ts";
import type { OpenCall, Route } from "../platform/index.ts";
import { addStaff } from "./add-staff.ts";
import { amendStaff } from "./amend-staff.ts";
import { changePolicy } from "./change-policy.ts";
import { changeSecret } from "./change-secret.ts";
import { type PeopleContext, route } from "./context.ts";
import { dropCookies, keepInCookies, mustBeOurPage, refreshCookieOf, rememberDevice, sourceOf } from "./cookies.ts";
import { listStaff } from "./list-staff.ts";
import { renewSignIn } from "./renew-sign-in.ts";
import { resetSecret } from "./reset-secret.ts";
import { particularsOf } from "./rules.ts";
import { showStaff } from "./show-staff.ts";
import { signIn } from "./sign-in.ts";
import { signOut } from "./sign-out.ts";
import { readPolicy } from "./store.ts";
import { whoAmI } from "./who-am-i.ts";

const room = "people";
const limitPerMinute = (context: PeopleContext): number => context.config.signInLimitPerMinute;

/** Signs in, and leaves the mark by which this device is known again. */
async function signInHere({ context, body, request, reply }: OpenCall<unknown, unknown, SignInBody, PeopleContext>): Promise<SignedIn> {
  const { signedIn, deviceToken } = await signIn(context, body, sourceOf(request));
  rememberDevice(context, request, reply, deviceToken);
  return signedIn;
}

export const peopleRoutes: readonly Route<PeopleContext>[] = [
  route({
    method: "POST",
    path: "/v1/sign-in",
    operationId: "signIn",
    heavy: "secret",
    who: "anyone",
    room,
    limitPerMinute,
    summary: "Sign in with staff number and secret",
    body: signInBodySchema,
    answers: { 200: signedInSchema },
    handler: (call) => signInHere(call),
  }),
  route({
    method: "POST",
    path: "/v1/sign-in/renewal",
    operationId: "renewSignIn",
    who: "anyone",
    room,
    limitPerMinute,
    summary: "Trade a refresh token for new tokens; a token that comes twice ends its session",
    body: renewalBodySchema,
    answers: { 200: signedInSchema },
    handler: ({ context, body }) => renewSignIn(context, body),
  }),
  route({
    method: "POST",
    path: "/v1/session",
    operationId: "openSession",
    heavy: "secret",
    who: "anyone",
    room,
    limitPerMinute,
    summary: "Sign in on a page of this service: the tokens go into cookies that scripts cannot read",
    body: signInBodySchema,
    answers: { 200: sessionSchema },
    handler: async (call) => {
      mustBeOurPage(call.request);
      return keepInCookies(call.context, call.request, call.reply, await signInHere(call));
    },
  }),
  route({
    method: "POST",
    path: "/v1/session/renewal",
    operationId: "renewSession",
    who: "anyone",
    room,
    limitPerMinute,
    summary: "Trade the refresh token in the cookie for new tokens",
    answers: { 200: sessionSchema },
    handler: async ({ context, request, reply }) =>
      keepInCookies(
        ...([context, request, reply] as const),
        await renewSignIn(context, { refreshToken: refreshCookieOf(request) }, sourceOf(request).deviceToken),
      ),
  }),
  route({
    method: "POST",
    path: "/v1/sign-out",
    operationId: "signOut",
    who: "signed-in",
    withCode: true,
    room,
    summary: "End this session",
    answers: { 200: signedOutSchema },
    handler: async ({ context, actor, request, reply }) => {
      const answer = await signOut(context, actor);
      dropCookies(context, request, reply);
      return answer;
    },
  }),
  route({
    method: "GET",
    path: "/v1/me",
    operationId: "whoAmI",
    who: "signed-in",
    withCode: true,
    room,
    summary: "The person who calls, with role, depots, competences, and what happened to their secret",
    answers: { 200: whoAmISchema },
    handler: ({ context, actor }) => whoAmI(context, actor),
  }),
  route({
    method: "PUT",
    path: "/v1/me/secret",
    operationId: "changeSecret",
    heavy: "secret",
    who: "signed-in",
    withCode: true,
    room,
    limitPerMinute,
    summary: "Choose a secret of one's own in place of the present one or of a one-time code",
    body: changeSecretBodySchema,
    answers: { 200: secretChangedSchema },
    handler: ({ context, actor, body, request }) => changeSecret(context, actor, body, sourceOf(request)),
  }),
  route({
    method: "GET",
    path: "/.well-known/jwks.json",
    operationId: "publicKeys",
    who: "anyone",
    room,
    summary: "The public keys of all that is or was signed here: access tokens, checkpoints and audit packs",
    answers: { 200: publicKeySetSchema },
    handler: ({ context, reply }) => {
      // Others may keep it for a while: a new key is published before it signs.
      reply.header("cache-control", "public, max-age=300");
      return publishedKeys(context);
    },
  }),
  route({
    method: "GET",
    path: "/v1/staff",
    operationId: "listStaff",
    who: ["manager"],
    room,
    summary: "People of the manager's depots, by staff number",
    query: staffQuerySchema,
    answers: { 200: staffPageSchema },
    handler: ({ context, actor, query }) => listStaff(context, actor, query),
  }),
  route({
    method: "POST",
    path: "/v1/staff",
    operationId: "addStaff",
    heavy: "secret",
    who: ["manager"],
    room,
    summary: "Add a person, who begins with a one-time code",
    body: addStaffBodySchema,
    answers: { 201: memberWithCodeSchema },
    location: ({ id }) => `/v1/staff/${id}`,
    // The code is told once; whoever did not get it makes a new one by a reset.
    keyed: ({ oneTimeCode: _told, ...member }) => member,
    handler: ({ context, actor, body }) => addStaff(context, actor, body),
  }),
  route({
    method: "GET",
    path: "/v1/staff/:id",
    operationId: "showStaff",
    who: ["manager"],
    room,
    summary: "A person of the manager's depots",
    params: staffParamsSchema,
    answers: { 200: staffMemberSchema },
    tagged: particularsOf,
    handler: ({ context, actor, params }) => showStaff(context, actor, params.id),
  }),
  route({
    method: "PATCH",
    path: "/v1/staff/:id",
    operationId: "amendStaff",
    heavy: "secret",
    who: ["manager"],
    room,
    summary: "Change a person's particulars, give them a one-time code, or note that they leave",
    params: staffParamsSchema,
    body: amendStaffBodySchema,
    answers: { 200: staffMemberSchema },
    tagged: particularsOf,
    handler: ({ context, actor, params, body, ifMatch }) => amendStaff(context, actor, params.id, body, ifMatch),
  }),
  route({
    method: "POST",
    path: "/v1/staff/:id/secret-reset",
    operationId: "resetSecret",
    heavy: "secret",
    who: ["manager"],
    room,
    summary: "Put a one-time code in the place of a person's secret; it is told this once",
    params: staffParamsSchema,
    answers: { 200: memberWithCodeSchema },
    handler: ({ context, actor, params }) => resetSecret(context, actor, params.id),
  }),
  route({
    method: "GET",
    path: "/v1/policy",
    operationId: "showPolicy",
    who: "signed-in",
    room,
    summary: "What the firm has chosen where it may choose",
    answers: { 200: policySchema },
    tagged: (policy) => policy,
    handler: ({ context }) => readPolicy(context.db.prisma),
  }),
  route({
    method: "PUT",
    path: "/v1/policy",
    operationId: "changePolicy",
    who: ["manager"],
    wholeFirm: true,
    room,
    summary: "Choose anew; what is left out goes back to its default",
    body: z.preprocess(liftPolicy, policySchema),
    answers: { 200: policySchema },
    tagged: (policy) => policy,
    handler: ({ context, actor, body, ifMatch }) => changePolicy(context, actor, () => body, ifMatch),
  }),
  route({
    method: "PATCH",
    path: "/v1/policy",
    operationId: "amendPolicy",
    who: ["manager"],
    wholeFirm: true,
    room,
    summary: "Choose anew what the body names; what is left out stays as it is",
    body: policyAmendmentSchema,
    answers: { 200: policySchema },
    tagged: (policy) => policy,
    handler: ({ context, actor, body, ifMatch }) => changePolicy(context, actor, (before) => ({ ...before, ...body }), ifMatch),
  }),
];
