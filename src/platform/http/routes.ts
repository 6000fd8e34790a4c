// What a route is: address, name, who may call it, what goes in and out, and one thin handler. Rooms list theirs in
// routes.ts; app.ts registers them. A route without `who` or answers does not compile.
import type {
  FastifyInstance,
  FastifyReply,
  FastifyRequest,
  FastifySchema,
  preHandlerAsyncHookHandler,
  preHandlerHookHandler,
} from "fastify";
import { z } from "zod";
import { problemSchema, type Role } from "../../../shared/contracts/common.ts";
import type { Arrival, Salvaged } from "../../../shared/rules/salvage.ts";
import type { Actor } from "../actor.ts";
import type { ServiceContext } from "../context.ts";
import { patiently } from "../database/patience.ts";
import { ProblemError, platformErrors } from "../errors.ts";
import type { Door, Heavy } from "./calls-at-once.ts";
import { tagOf } from "./entity-tag.ts";
import { answeredBefore, freeRefused, keepUnderKey } from "./idempotency.ts";
import { lenientValidator, type Salvage, type TakenAnyway, takenAnyway } from "./taken-anyway.ts";

/** `anyone`: no sign-in. `signed-in`: every role. Else the roles that may. */
export type Who = "anyone" | "signed-in" | readonly Role[];

/** An answer that is not JSON; it is sent by the handler itself. */
export interface MediaAnswer {
  readonly mediaType:
    | "application/pdf"
    | "text/plain"
    | "text/csv"
    | "application/x-ndjson"
    | "application/zip"
    | "text/event-stream"
    | "application/jwk-set+json"
    | "image/*";
  readonly description: string;
}

interface Shapes<P extends z.ZodType, Q extends z.ZodType, B extends z.ZodType> {
  readonly params?: P;
  readonly query?: Q;
  readonly body?: B;
}

/** What a handler is given. */
export interface Call<P = unknown, Q = unknown, B = unknown, C extends ServiceContext = ServiceContext> {
  readonly context: C;
  readonly actor: Actor;
  readonly params: P;
  readonly query: Q;
  readonly body: B;
  /** what was mended in the body so that it could be taken; undefined where it was taken as sent */
  readonly mended: TakenAnyway | undefined;
  /** the versions that the caller read, as the header If-Match names them */
  readonly ifMatch: string | undefined;
  readonly request: FastifyRequest;
  readonly reply: FastifyReply;
}

/** `C` is what its handler is given of the service: everything, or the part that its room knows. */
export interface RouteDefinition<P extends z.ZodType, Q extends z.ZodType, B extends z.ZodType, C extends ServiceContext>
  extends Shapes<P, Q, B> {
  readonly method: "GET" | "POST" | "PUT" | "PATCH";
  /** with `:id` for parameters */
  readonly path: string;
  readonly operationId: string;
  readonly who: Who;
  /** it changes what holds at every depot, so it takes somebody of all depots */
  readonly wholeFirm?: true;
  /** somebody signed in with a one-time code may call it before they have chosen a secret of their own */
  readonly withCode?: true;
  readonly summary: string;
  readonly room: string;
  readonly answers: Readonly<Record<number, z.ZodType | MediaAnswer>>;
  /** the largest body in bytes, where it is not the usual one */
  readonly bodyLimitBytes?: number;
  /** what the body comes as, where it is not JSON */
  readonly bodyMediaTypes?: readonly string[];
  /** mends a body that its contract refuses and that tells of a defect, so that it is taken all the same */
  readonly salvage?: (raw: unknown, arrival: Arrival) => Salvaged<z.infer<B> & object> | null;
  /** an answer that may be large, for a client on a poor link: compressed where the client takes it */
  readonly compressed?: true;
  /** a GET that leaves a record or stays open: it takes no HEAD, and a browser does not fetch it before somebody asks for it */
  readonly onlyAsked?: true;
  /** so few of its sort are under way at once that they don't hold up the service */
  readonly heavy?: Heavy;
  /** its statements may take minutes; those of a file (a paper, records, a pack) may without saying so */
  readonly patient?: true;
  /** calls a minute from one address, where it is not the usual number */
  readonly limitPerMinute?: (context: C) => number;
  /** the address of what a 201 made, from the answer; it goes out as `Location` */
  readonly location?: (answer: never) => string;
  /** what of the answer can be changed at this address; its `ETag` is made of that, and `If-Match` takes it */
  readonly tagged?: (answer: never) => unknown;
  /** it makes something and its body has no id of its own: it takes an `Idempotency-Key`; what is kept of its answer for a repetition */
  readonly keyed?: (answer: never) => unknown;
  readonly handler: (call: Call<z.infer<P>, z.infer<Q>, z.infer<B>, C>) => unknown;
}

/** With nothing said of what its handler is given, it is one of them all, to be read and not to be called. */
export type Route<C extends ServiceContext = never> = RouteDefinition<z.ZodType, z.ZodType, z.ZodType, C>;

/** Makes the function that makes a row of a route table, for the rooms that are given the same of the service. */
export const routeWith =
  <C extends ServiceContext>() =>
  <P extends z.ZodType = z.ZodType, Q extends z.ZodType = z.ZodType, B extends z.ZodType = z.ZodType>(
    definition: RouteDefinition<P, Q, B, C>,
  ): Route<C> =>
    definition as unknown as Route<C>;

export type Authenticate = (request: FastifyRequest) => Promise<Actor>;

// Written as it stands: the serializer sees JSON answers only.
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

// Not brotli, whose best takes longer than the link; and what is small is not worth the time.
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
  // Who watches is no work until something happens, and is counted where it is watched.
  const watches = Object.values(definition.answers).some((answer) => isMedia(answer) && answer.mediaType === "text/event-stream");
  app.route({
    method: definition.method,
    url: definition.path,
    schema: schemaOf(definition),
    ...(definition.onlyAsked ? { exposeHeadRoute: false } : {}),
    ...(definition.bodyLimitBytes ? { bodyLimit: definition.bodyLimitBytes } : {}),
    ...(definition.compressed ? { compress: compression } : {}),
    ...(definition.salvage ? { validatorCompiler: lenientValidator(context, definition.salvage as Salvage) } : {}),
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
    // Before the body is read, and after the limit on calls, which counts those without a token as well.
    preParsing: async (request, reply) => {
      if (definition.onlyAsked) mustBeAskedFor(request);
      if (who !== "anyone") {
        const actor = await authenticate(request);
        // Before the role is asked, so that the log says who was refused.
        actors.set(request, actor);
        if (actor.mustChangeSecret && !definition.withCode) throw secretMustChange();
        if (who !== "signed-in" && !who.includes(actor.role)) {
          throw platformErrors.problem("not-your-role", `This is for: ${who.join(", ")}. You are signed in as ${actor.role}.`);
        }
        if (definition.wholeFirm && actor.depotIds !== null) {
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
      // After the body was read, so that all that follows inherits it, what is sent bit by bit too.
      ...(isPatient(definition) ? [waitPatiently] : []),
    ],
    handler: async (request, reply) =>
      definition.handler({
        context,
        actor: actors.get(request) as Actor,
        params: request.params,
        query: request.query,
        body: request.body,
        mended: takenAnyway(request.body),
        ifMatch: request.headers["if-match"],
        request,
        reply,
      }),
  });
}

const waitPatiently: preHandlerHookHandler = (_request, _reply, next) => patiently(next);

/** Asks whether the call was answered before under its key; where it was, that answer is sent and the handler is not called. */
const askKey =
  (context: ServiceContext): preHandlerAsyncHookHandler =>
  async (request, reply) => {
    const actor = actors.get(request);
    if (actor && (await answeredBefore(context, actor, request, reply))) return reply;
  };

function sayOfAnswer({ location, tagged }: Route, reply: FastifyReply, answer: unknown): void {
  if (location && reply.statusCode === 201) reply.header("location", location(answer as never));
  if (tagged && reply.statusCode < 300) reply.header("etag", tagOf(tagged(answer as never)));
}

/** Whoever set a one-time code knows it: nothing is done in somebody's name before they have a secret that nobody else knows. */
const secretMustChange = () =>
  platformErrors.problem(
    "secret-must-change",
    "You signed in with a one-time code that somebody else knows. Choose a secret of your own first: PUT /v1/me/secret. Nothing was stored.",
  );

/** Throws `fetched-ahead` for what a browser fetches in case somebody should ask for it, as it says itself. */
function mustBeAskedFor({ headers }: FastifyRequest): void {
  const purposes = [headers["sec-purpose"], headers["purpose"], headers["x-purpose"], headers["x-moz"]];
  if (!purposes.some((purpose) => /prefetch|prerender|preview/i.test(String(purpose ?? "")))) return;
  throw platformErrors.problem("fetched-ahead", "Who asks for this is put on record, or it stays open: it is not fetched ahead of that.");
}

/** Throws `wrong-media-type` for a body that says it is something else; one that says nothing is left to Fastify. */
function mustComeAs(mediaTypes: readonly string[], request: FastifyRequest): void {
  const said = request.headers["content-type"]?.split(";", 1)[0]?.trim().toLowerCase();
  if (said === undefined || mediaTypes.includes(said)) return;
  throw platformErrors.problem("wrong-media-type", `Send this body as ${mediaTypes.join(" or ")}. Nothing was stored.`);
}

const actors = new WeakMap<FastifyRequest, Actor>();

/** Who signed the request, if anybody: for the log. */
export const actorOf = (request: FastifyRequest): Actor | undefined => actors.get(request);

/** Answers an act from the field: 201 the first time, 200 with the same receipt every time after. */
export function answerReceipt<Receipt>(
  { reply }: Pick<Call, "reply">,
  { receipt, repeated }: { receipt: Receipt; repeated: boolean },
): Receipt {
  reply.code(repeated ? 200 : 201);
  return receipt;
}
