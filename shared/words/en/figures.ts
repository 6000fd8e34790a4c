// English words of the figures of a period, the same on every paper.

export const figureWords = {
  "report.figures.found": "Defects found",
  "report.figures.open": "Of these still open",
  "report.figures.no-fault": "Of these no fault",
  "report.figures.machine-days": "Machine-days in service",
  "report.figures.lost": "Of these lost",
  "report.figures.rate": "In 1,000 machine-days",
  "report.figures.repaired": "Repairs made",
  "report.figures.signed-off": "Signed off",
  "report.figures.closed-no-fault": "Closed, no fault found",
  "report.figures.too-little": "too little to say",
  "report.figures.causes":
    "Days lost, by what the board said first: grounded {grounded}, papers expired {papers}, inspection overdue {inspection}.",
  "report.figures.note":
    "A defect counts once, on the day on which it was first seen and at the depot where its machine was, whatever became of it: those in which no fault was found stay counted. The job of a campaign is no finding: neither it nor its repair and closing is counted, while the days that it costs are. Repairs and closings count on the day on which they were made, whenever the defect was found. Machine-days are days of 24 hours in service, without those withdrawn; lost are those on which the board said that a machine may not be ridden. Under {least} machine-days there is too little to say how often defects are found.",
} as const;
