import { readinessQuerySchema, readinessSchema, watchQuerySchema } from "../../shared/contracts/readiness.ts";
import { type AppContext, route } from "../acts/index.ts";
import type { Route } from "../platform/index.ts";
import { readReadiness } from "./read-readiness.ts";
import { watchReadiness } from "./watch-readiness.ts";

export const readinessRoutes: readonly Route<AppContext>[] = [
  route({
    method: "GET",
    path: "/v1/readiness",
    operationId: "readiness",
    compressed: true,
    who: ["manager", "mechanic", "auditor"],
    room: "readiness",
    summary: "Every machine's standing with its reasons, now or as it stood at a past moment",
    query: readinessQuerySchema,
    answers: { 200: readinessSchema },
    handler: ({ context, actor, query }) =>
      readReadiness(context, actor, { depotId: query.depotId, at: query.at === undefined ? undefined : new Date(query.at) }),
  }),
  route({
    method: "GET",
    path: "/v1/readiness/events",
    operationId: "watchReadiness",
    onlyAsked: true,
    who: ["rider", "manager", "mechanic", "auditor"],
    room: "readiness",
    summary: "Server-sent events that say when the board, or what a phone has taken along, is worth reading again",
    query: watchQuerySchema,
    answers: {
      200: {
        mediaType: "text/event-stream",
        description:
          "`watching` at once; `changed` within about a second of a record, with the depots of the view, or null for what concerns all. A rider hears of their own depots, and not of checks of others that found nothing. Standings also change with the day: read the board at its turn",
      },
    },
    handler: async ({ context, actor, query, reply }) =>
      reply.type("text/event-stream").send(await watchReadiness(context, actor, query.depotId)),
  }),
];
