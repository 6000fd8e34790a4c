// What work is priced by: the list of parts, the workshop's rate as the policy had it at each moment, and the firm's currency of today.
import type { PriceBook, Work } from "../../shared/rules/costs.ts";
import { partKey } from "../../shared/rules/part-prices.ts";
import type { Policy } from "../../shared/rules/policy.ts";
import type { AppContext } from "../acts/index.ts";
import { readPoliciesSince } from "../figures/index.ts";
import { pricesOfParts } from "../parts/index.ts";

export async function priceBookFor(
  { db, clock }: Pick<AppContext, "db" | "clock">,
  work: readonly Work[],
): Promise<PriceBook & { readonly policy: Policy }> {
  const keys = new Set(work.flatMap(({ told }) => (told?.parts ?? []).flatMap(({ number }) => (number === null ? [] : [partKey(number)]))));
  const prices = await pricesOfParts(db, [...keys]);
  const policies = await readPoliciesSince(db, new Date(Math.min(clock.now().getTime(), ...work.map(({ at }) => at.getTime()))));
  const policy = policies.at(-1)?.policy;
  if (!policy) throw new Error("there is always the policy of today");
  const { currency } = policy;
  const rates = policies.flatMap(({ until, policy: held }) =>
    currency === null || held.currency !== currency || held.hourlyRateMinor === null
      ? []
      : [{ until: until?.getTime() ?? Number.POSITIVE_INFINITY, hourlyRateMinor: held.hourlyRateMinor }],
  );
  const spans = policies.map(({ until }) => until?.getTime() ?? Number.POSITIVE_INFINITY);
  return {
    policy,
    currency,
    pricesOf: (key) => prices.get(key) ?? [],
    rateAt: (at) => {
      const ends = spans.find((until) => until > at.getTime());
      const rate = rates.find(({ until }) => ends !== undefined && until >= ends);
      return rate ? { hourlyRateMinor: rate.hourlyRateMinor, isLater: rate.until !== ends } : null;
    },
  };
}
