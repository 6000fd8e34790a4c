// Prometheus figures of one app: how many calls, how long, how they ended, by operation.
import type { FastifyReply, FastifyRequest } from "fastify";
import { collectDefaultMetrics, Gauge, Histogram, Registry } from "prom-client";
import type { Clock } from "../clock.ts";
import { afterSilence } from "../database/server-watch.ts";

declare module "fastify" {
  interface FastifyContextConfig {
    operationId?: string;
  }
}

/** A figure that is computed whenever the metrics are read. */
export interface Gauged {
  readonly name: `ferrule_${string}`;
  readonly help: string;
  readonly value: () => number;
}

/** Figures from the database, one for each value of a label. They are left out if the database does not answer in time. */
export interface CountedFigures {
  readonly name: `ferrule_${string}`;
  readonly help: string;
  readonly label: string;
  readonly counted: () => Promise<Readonly<Record<string, number>>>;
}

// The other figures matter most while the database is away, so it must not delay them: a scraper waits about 10 s (common practice, no source).
const mostMsToCount = 1500;

export interface Meter {
  readonly contentType: string;
  count(request: FastifyRequest, reply: FastifyReply): void;
  text(): Promise<string>;
}

export function openMeter(clock: Clock, gauges: readonly Gauged[] = [], figures: readonly CountedFigures[] = []): Meter {
  const registry = new Registry();
  collectDefaultMetrics({ register: registry });
  const calls = new Histogram({
    name: "ferrule_call_seconds",
    help: "Time from request to answer, by operation and status class",
    labelNames: ["operation", "status"],
    // In seconds: from a call that feels instant to one that somebody with cold hands gives up on.
    buckets: [0.002, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 5],
    registers: [registry],
  });
  new Gauge({
    name: "ferrule_clock_drift_seconds",
    help: "How far the clock of this host is ahead of the database's; past 5 s either way the database's time is used",
    registers: [registry],
    collect() {
      this.set((clock.driftMs ?? 0) / 1000);
    },
  });
  for (const { name, help, value } of gauges) {
    new Gauge({
      ...{ name, help, registers: [registry] },
      collect() {
        this.set(value());
      },
    });
  }
  for (const { name, help, label, counted } of figures) {
    new Gauge({
      ...{ name, help, labelNames: [label], registers: [registry] },
      async collect() {
        const found = await inTime(counted());
        this.reset();
        for (const [value, count] of Object.entries(found)) this.set({ [label]: value }, count);
      },
    });
  }
  return {
    contentType: registry.contentType,
    count: (request, reply) => {
      const operation = request.routeOptions.config.operationId ?? "other";
      calls.observe({ operation, status: `${Math.floor(reply.statusCode / 100)}xx` }, reply.elapsedTime / 1000);
    },
    text: () => registry.metrics(),
  };
}

/** The figures counted; none if counting failed or takes too long. */
async function inTime(counting: Promise<Readonly<Record<string, number>>>): Promise<Readonly<Record<string, number>>> {
  let stop = (): void => undefined;
  const silence = new Promise<Readonly<Record<string, number>>>((done) => {
    stop = afterSilence(mostMsToCount, () => done({}));
  });
  try {
    return await Promise.race([counting.catch(() => ({})), silence]);
  } finally {
    stop();
  }
}
