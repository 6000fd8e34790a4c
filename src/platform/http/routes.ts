// Registers the routes that the rooms list: which checks are made before the handler, and in which order (`route.ts` says what a route is).
import type {
  FastifyInstance,
  FastifyReply,
  FastifyRequest,
  FastifySchema,
  preHandlerAsyncHookHandler,
  preHandlerHookHandler,
} from "fastify";
import { z } from "zod";
import { problemSchema } from "../../../shared/contracts/common.ts";
import { holds } from "../../../shared/rules/roles.ts";
import type { Actor } from "../actor.ts";
import type { ServiceContext } from "../context.ts";
import { patiently } from "../database/patience.ts";
import { ProblemError, platformErrors } from "../errors.ts";
import type { Door } from "./calls-at-once.ts";
import { tagOf } from "./entity-tag.ts";
import { answeredBefore, freeRefused, keepUnderKey } from "./idempotency.ts";
import { type Answers, MadeAsText, type MediaAnswer, type Route } from "./route.ts";
import { lenientValidator, takenAnyway } from "./taken-anyway.ts";
import { askedBy } from "./whose.ts";

export type Authenticate = (request: FastifyRequest) => Promise<Actor>;

// Only for the description: the serializer is used for JSON answers only.
const fileSchema = z.string().meta({ format: "binary" });

const isMedia = (answer: z.ZodType | MediaAnswer): answer is MediaAnswer => "mediaType" in answer;

function schemaOf(definition: Route): FastifySchema {
  const answers = Object.entries(definition.answers).map(([status, answer]) => [
    status,
    isMedia(answer)
      ? {
          description: answer.description,
          content: { [answer.mediaType]: { schema: fileSchema } },
        }
      : {
          description: status === "201" ? "Recorded" : "Answer",
          content: { "application/json": { schema: answer } },
        },
  ]);
  return {
    operationId: definition.operationId,
    summary: definition.summary,
    tags: [definition.room],
    ...(definition.who === "anyone" ? { security: [] } : {}),
    ...(definition.params ? { params: definition.params } : {}),
    ...(definition.query ? { querystring: definition.query } : {}),
    ...(definition.body ? { body: definition.body } : {}),
    ...(definition.bodyMediaTypes ? { consumes: [...definition.bodyMediaTypes] } : {}),
    response: {
      ...Object.fromEntries(answers),
      default: {
        description: "Problem",
        content: { "application/problem+json": { schema: problemSchema } },
      },
    },
  };
}

const files: readonly string[] = ["application/pdf", "text/csv", "application/x-ndjson", "application/zip"];

const isPatient = ({ patient, answers }: Route): boolean =>
  patient ?? Object.values(answers).some((answer) => isMedia(answer) && files.includes(answer.mediaType));

// Not brotli, whose best compression takes longer than it saves; and small answers are not worth compressing.
const compression = { encodings: ["gzip" as const], threshold: 2048 };

/** Registers one route: sign-in and role are asked before the body is even read. */
export function registerRoute<C extends ServiceContext>(
  app: FastifyInstance,
  context: C,
  authenticate: Authenticate,
  enter: Door,
  definition: Route<C>,
): void {
  const { who } = definition;
  // An event stream is no work until something happens, and has its own limit (`event-stream.ts`).
  const watches = Object.values(definition.answers).some((answer) => isMedia(answer) && answer.mediaType === "text/event-stream");
  app.route({
    method: definition.method,
    url: definition.path,
    schema: schemaOf(definition),
    ...(definition.onlyAsked ? { exposeHeadRoute: false } : {}),
    ...(definition.bodyLimitBytes ? { bodyLimit: definition.bodyLimitBytes } : {}),
    ...(definition.compressed ? { compress: compression } : {}),
    ...(definition.salvage ? { validatorCompiler: lenientValidator(context, definition.salvage) } : {}),
    config: {
      operationId: definition.operationId,
      ...(definition.limitPerMinute
        ? {
            rateLimit: {
              max: definition.limitPerMinute(context),
              timeWindow: "1 minute",
            },
          }
        : {}),
    },
    // Before the body is read, and after the rate limit, which also counts calls without a token.
    preParsing: async (request, reply) => {
      if (definition.onlyAsked) mustBeAskedFor(request);
      if (who !== "anyone") {
        const actor = await authenticate(request);
        // Before the role is checked, so that the log says who was refused.
        actors.set(request, actor);
        if (actor.mustChangeSecret && !definition.withCode) throw secretMustChange();
        if (who !== "signed-in" && !holds(actor, ...who)) {
          throw platformErrors.problem("not-your-role", `This is for: ${who.join(", ")}. You are signed in as ${actor.roles.join(", ")}.`);
        }
        if (definition.whose.wholeFirm && actor.depotIds !== null) {
          throw platformErrors.problem("other-depot", "This holds for all depots, so somebody who has all depots does it.");
        }
      }
      if (definition.body) mustComeAs(definition.bodyMediaTypes ?? ["application/json"], request);
      if (!watches) enter(definition.heavy, reply.raw);
    },
    ...(definition.location || definition.tagged || definition.keyed
      ? {
          preSerialization: async (request, reply, answer) => {
            sayOfAnswer(definition, reply, answer);
            if (definition.keyed) await keepUnderKey(context, request, reply, answer, definition.keyed);
            return answer;
          },
        }
      : {}),
    ...(definition.keyed
      ? { onError: (request, _reply, error) => freeRefused(context, request, error instanceof ProblemError ? error.status : 500) }
      : {}),
    preHandler: [
      ...(definition.keyed ? [askKey(context)] : []),
      // After the body was read, so that everything after it inherits the longer limit, streamed answers too.
      ...(isPatient(definition) ? [waitPatiently] : []),
    ],
    handler: answerOf(context, definition),
  });
}

/** Checks whose depot the call is about, and calls the handler. */
function answerOf<C extends ServiceContext>(context: C, { handler, answers, whose: { ask } }: Route<C>) {
  const usual = onlyStatus(answers);
  return async (request: FastifyRequest, reply: FastifyReply): Promise<unknown> => {
    const actor = actors.get(request);
    const found = ask && actor ? await ask(context, actor, askedBy(request)) : undefined;
    if (usual !== undefined) reply.code(usual);
    const answer = await handler({
      context,
      actor,
      found,
      params: request.params,
      query: request.query,
      body: request.body,
      mended: takenAnyway(request.body),
      ifMatch: request.headers["if-match"],
      request,
      reply,
    });
    return answer instanceof MadeAsText ? sendAsMade(reply, answer) : answer;
  };
}

/** The status of a route with only one answer; with several the handler sets it. */
function onlyStatus(answers: Answers): number | undefined {
  const [status, another] = Object.keys(answers);
  return another === undefined ? Number(status) : undefined;
}

const sendAsMade = (reply: FastifyReply, { mediaType, text }: MadeAsText) =>
  reply
    .type(mediaType)
    .serializer((made: string) => made)
    .send(text);

const waitPatiently: preHandlerHookHandler = (_request, _reply, next) => patiently(next);

/** If the call was answered before under its key, sends that answer instead of calling the handler. */
const askKey =
  (context: ServiceContext): preHandlerAsyncHookHandler =>
  async (request, reply) => {
    const actor = actors.get(request);
    if (actor && (await answeredBefore(context, actor, request, reply))) return reply;
  };

function sayOfAnswer({ location, tagged }: Route, reply: FastifyReply, answer: unknown): void {
  if (location && (reply.statusCode === 201 || reply.statusCode === 202)) reply.header("location", location(answer));
  if (tagged && reply.statusCode < 300) reply.header("etag", tagOf(tagged(answer)));
}

/** Whoever set a one-time code knows it, so nothing may be done in somebody's name until they have a secret that nobody else knows. */
const secretMustChange = () =>
  platformErrors.problem(
    "secret-must-change",
    "You signed in with a one-time code that somebody else knows. Choose a secret of your own first: PUT /v1/me/secret. Nothing was stored.",
  );

/** Throws `fetched-ahead` for a call that the browser marks as prefetched. */
function mustBeAskedFor({ headers }: FastifyRequest): void {
  const purposes = [headers["sec-purpose"], headers["purpose"], headers["x-purpose"], headers["x-moz"]];
  if (!purposes.some((purpose) => /prefetch|prerender|preview/i.test(String(purpose ?? "")))) return;
  throw platformErrors.problem("fetched-ahead", "Who asks for this is put on record, or it stays open: it is not fetched ahead of that.");
}

/** Throws `wrong-media-type` for a body of another media type; one without a media type is left to Fastify. */
function mustComeAs(mediaTypes: readonly string[], request: FastifyRequest): void {
  const said = request.headers["content-type"]?.split(";", 1)[0]?.trim().toLowerCase();
  if (said === undefined || mediaTypes.includes(said)) return;
  throw platformErrors.problem("wrong-media-type", `Send this body as ${mediaTypes.join(" or ")}. Nothing was stored.`);
}

const actors = new WeakMap<FastifyRequest, Actor>();

/** Who signed the request, if anybody: for the log. */
export const actorOf = (request: FastifyRequest): Actor | undefined => actors.get(request);
