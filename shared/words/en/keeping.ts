// English words of keeping and forgetting: why each class of records is kept as long as it is.

export const keepingWords = {
  "retention.checks.name": "Daily checks and weekly inspections",
  "retention.checks.reason":
    "Inspection records and daily reports are to be kept for at least 15 months (DVSA, Guide to maintaining roadworthiness). A check that found a defect stays as long as that defect; the last check and the last inspection of a machine stay.",
  "retention.defects.name": "Defects and how they were put right",
  "retention.defects.reason":
    "Defect reports and rectification records are to be kept for at least 15 months (DVSA, Guide to maintaining roadworthiness). They count from the day on which the defect was closed; an open one stays.",
  "retention.allocations.name": "Who was to ride what",
  "retention.allocations.reason":
    "Read beside the checks of the same days, so it is kept as long as they are. Who checked what stays with the checks.",
  "retention.campaigns.name": "Campaigns",
  "retention.campaigns.reason": "A campaign goes on covering machines that come later, and a job on a machine cannot be read without it.",
  "retention.corrections.name": "Corrections",
  "retention.corrections.reason":
    "A correction and the record that it corrects are read side by side, so they go together, when the time of both is over.",
  "retention.papers-taken.name": "Who took papers out of the records",
  "retention.papers-taken.reason": "As long as the records themselves: after that there is nothing left to ask about.",
  "retention.machines.name": "Machines and their papers",
  "retention.machines.reason":
    "What a machine is, where it was and when it was in service: the records that are kept, and its state, follow from it.",
  "retention.firm.name": "The firm, its policy, depots and models",
  "retention.firm.reason": "What the checks were judged by: a kept record cannot be read without it, nor a past board shown.",
  "retention.parts.name": "The list of parts and their prices",
  "retention.parts.reason": "A repair is priced by the price of its day, however long ago that was, and a price names nobody.",
  "retention.people.name": "People",
  "retention.people.reason":
    "What a person might do when they recorded something. Of somebody who has left it is forgotten when they are made anonymous.",
  "retention.keeping.name": "Holds, and the forgetting itself",
  "retention.keeping.reason": "That something was held or forgotten, when, by whom and why, is what proves that nothing else went.",
  "person.former": "Former person {short}",
  "record.hold-placed": "{what}: {reason}",
  "record.hold-placed.firm": "the whole firm",
  "record.forgotten-records": "{count} records up to {day}",
} as const;
