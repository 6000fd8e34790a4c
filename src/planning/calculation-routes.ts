// The bench calculations: the functions that the rest of the service uses, open to whoever wants to check its arithmetic.
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
import { type AppContext, route } from "../acts/index.ts";
import { platformErrors, type Route } from "../platform/index.ts";
import { linearTrend, type Point, poissonRate, survivalSteps, whyNoTrend, wilson } from "../statistics/index.ts";

/** Ten thousand points of two long numbers each. */
const manyPointsBytes = 1024 * 1024;

const calculation = { method: "POST", who: "signed-in", room: "planning" } as const;

export const calculationRoutes: readonly Route<AppContext>[] = [
  route({
    ...calculation,
    path: "/v1/calculations/chain-adjustment",
    operationId: "calculateChainAdjustment",
    summary: "How far to turn the chain adjusters for the slack that is wanted",
    body: chainAdjustmentBodySchema,
    answers: { 200: chainAdjustmentAnswerSchema },
    handler: ({ body }) => chainAdjustment(body),
  }),
  route({
    ...calculation,
    path: "/v1/calculations/chain-elongation",
    operationId: "calculateChainElongation",
    summary: "How much longer a chain is than a new one",
    body: chainElongationBodySchema,
    answers: { 200: chainElongationAnswerSchema },
    handler: ({ body }) => ({ elongationPercent: elongationPercent(body) }),
  }),
  route({
    ...calculation,
    path: "/v1/calculations/pressure-at-temperature",
    operationId: "calculatePressureAtTemperature",
    summary: "What a tyre's gauge would show at another temperature",
    body: pressureAtTemperatureBodySchema,
    answers: { 200: pressureAtTemperatureAnswerSchema },
    handler: ({ body }) => ({ gaugeKpa: pressureAtTemperature(body) }),
  }),
  route({
    ...calculation,
    path: "/v1/calculations/brake-efficiency",
    operationId: "calculateBrakeEfficiency",
    summary: "Mean deceleration and efficiency of a stop, from its speed and distance",
    body: brakeEfficiencyBodySchema,
    answers: { 200: brakeEfficiencyAnswerSchema },
    handler: ({ body }) => brakeEfficiency(body),
  }),
  route({
    ...calculation,
    path: "/v1/calculations/linear-trend",
    operationId: "calculateLinearTrend",
    summary: "The least-squares line through readings, and where it meets a limit",
    body: linearTrendBodySchema,
    answers: { 200: linearTrendAnswerSchema },
    bodyLimitBytes: manyPointsBytes,
    handler: ({ body: { points, limit, confidence } }) => {
      mustSpread(points);
      return linearTrend(points, { limit, confidence });
    },
  }),
  route({
    ...calculation,
    path: "/v1/calculations/proportion-interval",
    operationId: "calculateProportionInterval",
    summary: "Wilson's interval of a proportion",
    body: proportionIntervalBodySchema,
    answers: { 200: intervalSchema },
    handler: ({ body: { count, of, confidence } }) => wilson(count, of, confidence),
  }),
  route({
    ...calculation,
    path: "/v1/calculations/rate-interval",
    operationId: "calculateRateInterval",
    summary: "A rate of events and its exact Poisson interval",
    body: rateIntervalBodySchema,
    answers: { 200: rateIntervalAnswerSchema },
    handler: ({ body: { events, exposure, confidence } }) => poissonRate(events, exposure, confidence),
  }),
  route({
    ...calculation,
    path: "/v1/calculations/survival",
    operationId: "calculateSurvival",
    summary: "How long parts last, after Kaplan and Meier, with Greenwood's errors",
    body: survivalBodySchema,
    answers: { 200: survivalAnswerSchema },
    bodyLimitBytes: manyPointsBytes,
    handler: ({ body }) => ({ steps: survivalSteps(body.times) }),
  }),
];

/** Throws `not-valid` for points that all stand at the same x. */
function mustSpread(points: readonly Point[]): void {
  if (whyNoTrend(points) === null) return;
  const message = "all stand at the same x: no line runs through them";
  throw platformErrors.problem("not-valid", "No trend can be drawn through these points.", { issues: [{ pointer: "/points", message }] });
}
