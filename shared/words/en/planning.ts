// English of the workshop's plan, of what wears, and of who rides what.
export const planningWords = {
  "job.sign-off": "Sign off the repair: {item}",
  "job.grounding-repair": "Grounded, {category} defect: {item}",
  "job.first-use-inspection": "Weekly inspection before the first ride",
  "job.return-inspection": "Weekly inspection before it goes back to work",
  "job.weekly-inspection": "Weekly inspection",
  "job.minor-repair": "Minor defect: {item}",
  "job.renewal": "Renew before it reaches its limit: {item}",
  "job.oil-change": "Oil change",
  "job.paper": "{paper} runs out",
  "forecast.renew-at-this-inspection":
    "{value}, limit {limit}. Renew now: likely enough ({chance}) to be past the limit at the next inspection.",
  "forecast.adjust-at-this-inspection":
    "{value}, limit {limit}. Adjust now: likely enough ({chance}) to be past the limit at the next inspection.",
  "forecast.past": "{value}, past the limit of {limit}.",
  "forecast.watch": "{value}, limit {limit} in about {distance}{when}. Watch it from week to week.",
  "forecast.fine": "{value}, limit {limit} in about {distance}{when}.",
  "forecast.when": ", around {day}",
  "forecast.not-wearing": "{value}, limit {limit}. No wear to be seen in {count} readings.",
  "forecast.too-few-readings": "Too few readings to foresee anything: {count} since the part was new or set.",
  "forecast.no-limit": "No limit is set for it on this machine, so there is none to foresee.",
} as const;
