// English words of the figures. They ask; they never judge anybody.

export const insightWords = {
  "insight.caution": "These figures are questions to ask, never a verdict on a person. Nothing follows from them by itself.",
  "insight.question.nil":
    "A question to ask: is every item still looked at? A good machine has nothing to find, so a high share alone says little.",
  "insight.question.found-after-nil": "A question to ask: could it be seen that morning, or did it come up during the day?",
  "insight.question.too-fast":
    "A question to ask: is the check made at the machine, and does the phone's timer run from the first item to the last?",
  "insight.question.too-fast-item":
    "A question to ask: which items are gone over quickly, and is the sheet too long for the time that there is?",
  "insight.question.half-median": "A question to ask: what makes this check quicker than the same sheet takes others?",
  "insight.question.proof-missing": "A question to ask: is the gauge at hand, and is it clear which reading is wanted?",
  "insight.question.proof-implausible": "A question to ask: is the gauge in order, and is its unit the one on the sheet?",
  "insight.question.not-applicable":
    "A question to ask: does {model} truly have this ({item})? Somebody who stood before the machine said that it does not apply. Put the features of the model right if they are wrong.",
  "insight.question.zeros":
    "A question to ask: can the gauge be read as finely as the sheet wants, and is it read out or rounded? One reading in ten ends in 0 by chance.",
  "insight.outside.share": "{day}: {count} of {of} checks found a defect, {side} the limits for so many checks",
  "insight.outside.rate": "{week}: {count} defects in {days} machine-days, {side} the limits for so many machine-days",
  "insight.side.above": "above",
  "insight.side.below": "below",
  "insight.no-item": "Noticed, no item named",
  "insight.component.front-tyre": "Front tyre",
  "insight.component.rear-tyre": "Rear tyre",
  "insight.component.front-linings": "Front brake linings",
  "insight.component.rear-linings": "Rear brake linings",
  "insight.component.chain": "Chain",
  "insight.component.front-brake-cable": "Front brake cable",
  "insight.component.rear-brake-cable": "Rear brake cable",
} as const;
