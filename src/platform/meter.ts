// Prometheus figures of one app: how many calls, how long, how they ended, by operation.
import type { FastifyReply, FastifyRequest } from "fastify";
import { collectDefaultMetrics, Histogram, Registry } from "prom-client";

declare module "fastify" {
  interface FastifyContextConfig {
    operationId?: string;
  }
}

export interface Meter {
  readonly contentType: string;
  count(request: FastifyRequest, reply: FastifyReply): void;
  text(): Promise<string>;
}

export function openMeter(): Meter {
  const registry = new Registry();
  collectDefaultMetrics({ register: registry });
  const calls = new Histogram({
    name: "ferrule_call_seconds",
    help: "Time from request to answer, by operation and status class",
    labelNames: ["operation", "status"],
    // From a check that is felt as instant to one that somebody with cold hands gives up on.
    buckets: [0.002, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 5],
    registers: [registry],
  });
  return {
    contentType: registry.contentType,
    count: (request, reply) => {
      const operation = request.routeOptions.config.operationId ?? "other";
      calls.observe({ operation, status: `${Math.floor(reply.statusCode / 100)}xx` }, reply.elapsedTime / 1000);
    },
    text: () => registry.metrics(),
  };
}
