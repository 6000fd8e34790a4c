import { readinessQuerySchema, readinessSchema, watchQuerySchema } from "../../shared/contracts/readiness.ts";
import { route, routes } from "../acts/index.ts";
import { allButRider, inView, signedIn, tableOf } from "../platform/index.ts";
import { readReadiness } from "./read-readiness.ts";
import { watchReadiness } from "./watch-readiness.ts";

// biome-ignore format: a table of operations, each with its address, who may call it, and whose depot it is about
const table = tableOf({
  readiness:      ["GET /v1/readiness",        allButRider, inView],
  watchReadiness: ["GET /v1/readiness/events", signedIn,    inView],
});

export const readinessRoutes = routes("readiness", table, {
  readiness: route({
    summary: "Every machine's standing with its reasons, now or as it stood at a past moment",
    compressed: true,
    query: readinessQuerySchema,
    answers: { 200: readinessSchema },
    handler: ({ context, found, query }) => readReadiness(context, found, query.at),
  }),
  watchReadiness: route({
    summary: "Server-sent events that say when the board, or what a phone has taken along, is worth reading again",
    onlyAsked: true,
    query: watchQuerySchema,
    answers: {
      200: {
        mediaType: "text/event-stream",
        description:
          "`watching` at once; `changed` within about a second of a record, with the depots of the view, or null for what concerns all. A rider hears of their own depots, and not of checks of others that found nothing. Standings also change with the day: read the board at its turn",
      },
    },
    handler: async ({ context, actor, found, reply }) => reply.type("text/event-stream").send(await watchReadiness(context, actor, found)),
  }),
});
