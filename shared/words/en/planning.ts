// English of what wears, foreseen.
export const planningWords = {
  "forecast.renew-at-this-inspection":
    "{value}, limit {limit}. Renew now: likely enough ({chance}) to be past the limit at the next inspection.",
  "forecast.adjust-at-this-inspection":
    "{value}, limit {limit}. Adjust now: likely enough ({chance}) to be past the limit at the next inspection.",
  "forecast.past": "{value}, past the limit of {limit}.",
  "forecast.watch": "{value}, limit {limit} in about {distance}{when}. Watch it from week to week.",
  "forecast.fine": "{value}, limit {limit} in about {distance}{when}.",
  "forecast.when": ", around {day}",
  "forecast.not-wearing": "{value}, limit {limit}. No wear to be seen in {count} readings.",
  "forecast.too-few-readings":
    "Not enough to foresee anything yet: measured {count} times. It takes 3 measurements some way apart, and a week of riding.",
  "forecast.no-limit": "No limit is set for it on this machine, so there is none to foresee.",
} as const;
