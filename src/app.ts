// Builds the service from what it is given. Opens no port and reads no environment.
import compress from "@fastify/compress";
import cookie from "@fastify/cookie";
import rateLimit from "@fastify/rate-limit";
import swagger from "@fastify/swagger";
import swaggerUi from "@fastify/swagger-ui";
import Fastify, { type FastifyBaseLogger, type FastifyInstance, LogController } from "fastify";
import { jsonSchemaTransform, jsonSchemaTransformObject, serializerCompiler, validatorCompiler } from "fastify-type-provider-zod";
import helmet from "helmet";
import { photoTypeSchema } from "../shared/contracts/photos.ts";
import { type AppContext, unjudgedGauge } from "./acts/index.ts";
import { recordComponents } from "./ledger/index.ts";
import { heldBack } from "./people/index.ts";
import {
  type Authenticate,
  actorOf,
  answerError,
  answerMalformed,
  answerNotFound,
  answerUnroutable,
  askReadiness,
  type Gauged,
  type Meter,
  mostDriftMs,
  openDoor,
  openMeter,
  platformErrors,
  readJsonBodies,
  registerRoute,
  tryAgain,
} from "./platform/index.ts";
import { allRoutes } from "./rooms.ts";
import { registerPages } from "./web/index.ts";

// A daily check of the longest sheet with a note on each item stays under this.
const usualBodyLimitBytes = 256 * 1024;

// A photo of 10 MB over a poor mobile link; without a limit, a few who send a byte a minute hold every connection.
const mostMsToArrive = 300_000;

/** The service on what it is given, ready to listen. `gauges`: figures of `/metrics` that others keep. */
export async function buildApp(context: AppContext, authenticate: Authenticate, gauges: readonly Gauged[] = []): Promise<FastifyInstance> {
  const app = newServer(context);
  refuseWhileClosing(app);
  const meter = openMeter(context.clock, [...gauges, unjudgedGauge(context)], [heldBack(context)]);
  countAndLog(app, meter);
  secureAnswers(app);
  await limitCalls(app, context);
  await describeCalls(app);
  await app.register(cookie);
  // Only for routes that ask for it.
  await app.register(compress, { global: false });
  const door = openDoor();
  for (const definition of allRoutes) registerRoute(app, context, authenticate, door, definition);
  await registerPages(app);
  answerOperators(app, context, meter);
  return app;
}

function newServer(context: AppContext): FastifyInstance {
  const app = Fastify({
    loggerInstance: context.log as FastifyBaseLogger,
    bodyLimit: usualBodyLimitBytes,
    trustProxy: context.config.trustProxy ?? false,
    genReqId: () => context.newId(),
    requestIdHeader: false,
    logController: new LogController({ disableRequestLogging: true }),
    // Handled below, with a problem as the answer.
    return503OnClosing: false,
    routerOptions: { maxParamLength: 100 },
    // An address that cannot be decoded is refused before any route or hook applies; what is not HTTP, before there is a request.
    frameworkErrors: answerUnroutable,
    clientErrorHandler: answerMalformed(context),
    requestTimeout: mostMsToArrive,
    // Checked below, with a problem as the answer.
    http: { requireHostHeader: false },
  });
  app.setValidatorCompiler(validatorCompiler);
  app.setSerializerCompiler(serializerCompiler);
  app.setErrorHandler(answerError);
  readJsonBodies(app);
  app.addContentTypeParser("text/csv", { parseAs: "string" }, (_request, body, done) => done(null, body));
  app.addContentTypeParser([...photoTypeSchema.options], { parseAs: "buffer" }, (_request, body, done) => done(null, body));
  return app;
}

/** Answers calls that come while the service closes, and malformed ones, with a problem. */
function refuseWhileClosing(app: FastifyInstance): void {
  // RFC 9110 section 10.1.1 lets a server ignore an expectation that it does not know; Node.js would refuse it, and without a problem.
  app.server.on("checkExpectation", (request, response) => app.server.emit("request", request, response));
  let closing = false;
  app.addHook("preClose", async () => {
    closing = true;
  });
  app.addHook("onRequest", async ({ headers, raw }) => {
    if (closing) throw platformErrors.problem("not-ready", "The service is closing. Send it again in a moment.", { headers: tryAgain });
    if (headers.host === undefined && raw.httpVersion === "1.1") throw platformErrors.problem("not-http", "The call names no host.");
  });
}

function countAndLog(app: FastifyInstance, meter: Meter): void {
  app.addHook("onResponse", async (request, reply) => {
    meter.count(request, reply);
    request.log.info(
      {
        operation: request.routeOptions.config.operationId,
        status: reply.statusCode,
        milliseconds: Math.round(reply.elapsedTime),
        staffId: actorOf(request)?.staffId,
      },
      "answered",
    );
  });
  app.addHook("onSend", async (request, reply) => {
    reply.header("x-request-id", request.id);
    // Records and standings change by the minute: no cache keeps them.
    if (!reply.hasHeader("cache-control")) reply.header("cache-control", "no-store");
  });
}

function secureAnswers(app: FastifyInstance): void {
  // Built once: its Fastify plug-in would build the policy again for each answer.
  const secure = helmet({
    contentSecurityPolicy: {
      directives: {
        defaultSrc: ["'self'"],
        // A photo that is about to be sent is shown from a blob in the page's memory.
        imgSrc: ["'self'", "data:", "blob:"],
        styleSrc: ["'self'"],
        fontSrc: ["'self'"],
        objectSrc: ["'none'"],
        frameAncestors: ["'none'"],
        upgradeInsecureRequests: null,
      },
    },
    crossOriginEmbedderPolicy: true,
    referrerPolicy: { policy: "no-referrer" },
    frameguard: { action: "deny" },
  });
  app.addHook("onRequest", (request, reply, next) => secure(request.raw, reply.raw, () => next()));
}

async function limitCalls(app: FastifyInstance, context: AppContext): Promise<void> {
  await app.register(rateLimit, {
    max: context.config.rateLimitPerMinute,
    timeWindow: "1 minute",
    errorResponseBuilder: (_request, limit) =>
      Object.assign(new Error(`More than ${limit.max} calls a minute from here. Wait ${limit.after} and try again.`), {
        statusCode: 429,
      }),
  });
  // Calls to unknown addresses count for the rate limit too.
  app.setNotFoundHandler({ preHandler: app.rateLimit() }, answerNotFound);
}

/** `/docs` and the description that it shows. */
async function describeCalls(app: FastifyInstance): Promise<void> {
  await app.register(swagger, {
    openapi: {
      openapi: "3.1.0",
      info: {
        title: "Ferrule",
        version: "1",
        description:
          "Daily checks, grounding, repair, sign-off and proof for a fleet of small courier motorcycles. It replaces neither the maker's handbook, local law nor a licensed examiner.",
      },
      components: {
        schemas: recordComponents(),
        securitySchemes: { accessToken: { type: "http", scheme: "bearer", bearerFormat: "JWT" } },
      },
      security: [{ accessToken: [] }],
    },
    transform: jsonSchemaTransform,
    transformObject: jsonSchemaTransformObject,
  });
  // The pages of /docs set styles from their scripts, so inline styles are allowed there; they load nothing from elsewhere and send nothing there.
  await app.register(swaggerUi, {
    routePrefix: "/docs",
    uiConfig: { validatorUrl: null },
    staticCSP:
      "default-src 'self'; img-src 'self' data:; style-src 'self' 'unsafe-inline'; object-src 'none'; base-uri 'self'; frame-ancestors 'none'",
  });
  app.get("/openapi.json", { schema: { hide: true }, config: { operationId: "openApi" } }, async () => app.swagger());
}

/** The routes for whoever runs the service: is it up, can it take calls, how is it doing. */
function answerOperators(app: FastifyInstance, context: AppContext, meter: Meter): void {
  app.get("/healthz", { schema: { hide: true }, config: { operationId: "health" } }, async () => ({ status: "up" }));
  const readiness = askReadiness(context);
  app.get("/readyz", { schema: { hide: true }, config: { operationId: "ready" } }, async () => {
    const against = await readiness();
    if (against !== null) throw platformErrors.problem("not-ready", against, { headers: tryAgain });
    const { driftMs } = context.clock;
    // A wrong clock is no reason to refuse calls: a grounding that is sent here must not be lost, and it gets the database's time.
    const off = typeof driftMs === "number" && Math.abs(driftMs) > mostDriftMs;
    return { status: "ready", ...(off ? { clock: `off by ${Math.round(driftMs / 1000)} s; the database's time is used` } : {}) };
  });
  app.get("/metrics", { schema: { hide: true }, config: { operationId: "metrics" } }, async (_request, reply) =>
    reply.type(meter.contentType).send(await meter.text()),
  );
}
