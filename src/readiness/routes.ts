import { readinessQuerySchema, readinessSchema } from "../../shared/contracts/readiness.ts";
import { type Route, route } from "../platform/index.ts";
import { readReadiness } from "./read-readiness.ts";

export const readinessRoutes: readonly Route[] = [
  route({
    method: "GET",
    path: "/v1/readiness",
    operationId: "readiness",
    who: ["manager", "mechanic", "auditor"],
    room: "readiness",
    summary: "Every machine's standing with its reasons, now or as it stood at a past moment",
    query: readinessQuerySchema,
    answers: { 200: readinessSchema },
    handler: ({ house, actor, query }) =>
      readReadiness(house, actor, { depotId: query.depotId, at: query.at === undefined ? undefined : new Date(query.at) }),
  }),
];
