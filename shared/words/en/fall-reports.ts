// English words of the report of a fall or collision.
export const fallReportWords = {
  "report.fall.title": "Fall or collision",
  "report.fall.subject": "{mark}, {when}",
  "report.fall.period": "Happened {when}",
  "report.fall.badge.waits": "{mark} may not be ridden: it waits for the inspection after its fall",
  "report.fall.badge.inspected": "Inspected after it on {when}, signed by {who}",
  "report.fall.machine-now": "{mark} as this is printed: {standing}",
  "report.fall.identity": "Machine and moment",
  "report.fall.happened": "Happened",
  "report.fall.reported": "Reported",
  "report.fall.reported-by": "Reported by",
  "report.fall.told": "As it was told",
  "report.fall.hit": "What happened",
  "report.fall.bent": "Looks bent or broken",
  "report.fall.bent.none": "none",
  "report.fall.note": "In own words",
  "report.fall.inspection": "The inspection after it",
  "report.fall.not-yet": "Not made. The machine stays grounded until it is.",
  "report.fall.made": "Made on {when}, signed by {who}.",
  "report.fall.found-nothing": "It found nothing new.",
  "report.fall.between":
    "An inspection made on {when} was recorded before anybody here knew of the fall. It does not count as the one after it.",
  "report.fall.no-advice":
    "This report says what was told and what was found. It gives no advice on liability or injury, and it does not say who was at fault.",
} as const;
