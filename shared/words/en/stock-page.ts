// English of the page about what lies on a depot's shelf.
export const stockPageWords = {
  "stock.title": "Parts on the shelf",
  "stock.lead":
    "Only for parts that you count. From a count on, what comes is added and what a repair at this depot names by its number is taken off. A count puts everything right again.",
  "stock.never": "Never counted here.",
  "stock.lies": "{onHand} on the shelf.",
  "stock.again": "{onHand}, less than nothing: count again.",
  "stock.since": "Counted {counted}, {at}; {received} came and {fitted} were fitted since.",
  "stock.count": "Count",
  "stock.how": "What are you recording?",
  "stock.how.counted": "so many lie there now",
  "stock.how.received": "so many came",
  "stock.quantity": "How many",
  "stock.not-a-quantity": "Write a number such as 4 or 0.5.",
  "stock.do": "Record it",
  "stock.done": "Recorded. {onHand} on the shelf now.",
} as const;
