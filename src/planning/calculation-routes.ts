// The bench calculations: the functions that the rest of the service computes with, for whoever wants to check its arithmetic.
import {
  brakeEfficiencyAnswerSchema,
  brakeEfficiencyBodySchema,
  chainAdjustmentAnswerSchema,
  chainAdjustmentBodySchema,
  chainElongationAnswerSchema,
  chainElongationBodySchema,
  intervalSchema,
  linearTrendAnswerSchema,
  linearTrendBodySchema,
  pressureAtTemperatureAnswerSchema,
  pressureAtTemperatureBodySchema,
  proportionIntervalBodySchema,
  rateIntervalAnswerSchema,
  rateIntervalBodySchema,
  survivalAnswerSchema,
  survivalBodySchema,
} from "../../shared/contracts/calculations.ts";
import { brakeEfficiency } from "../../shared/rules/brake.ts";
import { chainAdjustment, elongationPercent } from "../../shared/rules/chain.ts";
import { pressureAtTemperature } from "../../shared/rules/tyre.ts";
import { route, routes } from "../acts/index.ts";
import { none, platformErrors, signedIn, tableOf } from "../platform/index.ts";
import { linearTrend, type Point, poissonRate, survivalSteps, whyNoTrend, wilson } from "../statistics/index.ts";

/** Ten thousand points of two long numbers each. */
const manyPointsBytes = 1024 * 1024;

// biome-ignore format: a table of operations, each with its address, who may call it, and whose depot it is about
const table = tableOf({
  calculateChainAdjustment:       ["POST /v1/calculations/chain-adjustment",        signedIn, none],
  calculateChainElongation:       ["POST /v1/calculations/chain-elongation",        signedIn, none],
  calculatePressureAtTemperature: ["POST /v1/calculations/pressure-at-temperature", signedIn, none],
  calculateBrakeEfficiency:       ["POST /v1/calculations/brake-efficiency",        signedIn, none],
  calculateLinearTrend:           ["POST /v1/calculations/linear-trend",            signedIn, none],
  calculateProportionInterval:    ["POST /v1/calculations/proportion-interval",     signedIn, none],
  calculateRateInterval:          ["POST /v1/calculations/rate-interval",           signedIn, none],
  calculateSurvival:              ["POST /v1/calculations/survival",                signedIn, none],
});

export const calculationRoutes = routes("planning", table, {
  calculateChainAdjustment: route({
    summary: "How far to turn the chain adjusters for the slack that is wanted",
    body: chainAdjustmentBodySchema,
    answers: { 200: chainAdjustmentAnswerSchema },
    handler: ({ body }) => chainAdjustment(body),
  }),
  calculateChainElongation: route({
    summary: "How much longer a chain is than a new one",
    body: chainElongationBodySchema,
    answers: { 200: chainElongationAnswerSchema },
    handler: ({ body }) => ({ elongationPercent: elongationPercent(body) }),
  }),
  calculatePressureAtTemperature: route({
    summary: "What a tyre's gauge would show at another temperature",
    body: pressureAtTemperatureBodySchema,
    answers: { 200: pressureAtTemperatureAnswerSchema },
    handler: ({ body }) => ({ gaugeKpa: pressureAtTemperature(body) }),
  }),
  calculateBrakeEfficiency: route({
    summary: "Mean deceleration and efficiency of a stop, from its speed and distance",
    body: brakeEfficiencyBodySchema,
    answers: { 200: brakeEfficiencyAnswerSchema },
    handler: ({ body }) => brakeEfficiency(body),
  }),
  calculateLinearTrend: route({
    summary: "The least-squares line through readings, and where it meets a limit",
    body: linearTrendBodySchema,
    answers: { 200: linearTrendAnswerSchema },
    bodyLimitBytes: manyPointsBytes,
    handler: ({ body: { points, limit, confidence } }) => {
      mustSpread(points);
      return linearTrend(points, { limit, confidence });
    },
  }),
  calculateProportionInterval: route({
    summary: "Wilson's interval of a proportion",
    body: proportionIntervalBodySchema,
    answers: { 200: intervalSchema },
    handler: ({ body: { count, of, confidence } }) => wilson(count, of, confidence),
  }),
  calculateRateInterval: route({
    summary: "A rate of events and its exact Poisson interval",
    body: rateIntervalBodySchema,
    answers: { 200: rateIntervalAnswerSchema },
    handler: ({ body: { events, exposure, confidence } }) => poissonRate(events, exposure, confidence),
  }),
  calculateSurvival: route({
    summary: "How long parts last, after Kaplan and Meier, with Greenwood's errors",
    body: survivalBodySchema,
    answers: { 200: survivalAnswerSchema },
    bodyLimitBytes: manyPointsBytes,
    handler: ({ body }) => ({ steps: survivalSteps(body.times) }),
  }),
});

/** Throws `not-valid` for points that all stand at the same x. */
function mustSpread(points: readonly Point[]): void {
  if (whyNoTrend(points) === null) return;
  const message = "all stand at the same x: no line runs through them";
  throw platformErrors.problem("not-valid", "No trend can be drawn through these points.", { issues: [{ pointer: "/points", message }] });
}
