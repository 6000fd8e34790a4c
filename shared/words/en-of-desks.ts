// The English words that only the bench, the board and the auditor's desk need: they are loaded with these areas.
import { auditPageWords } from "./en/audit-page.ts";
import { benchPageWords } from "./en/bench-page.ts";
import { boardPageWords } from "./en/board-page.ts";
import { campaignsPageWords } from "./en/campaigns-page.ts";
import { costsPageWords } from "./en/costs-page.ts";
import { entryWords } from "./en/entries.ts";
import { leaveFleetPageWords } from "./en/leave-fleet-page.ts";
import { machinePapersPageWords } from "./en/machine-papers-page.ts";
import { outsidePageWords } from "./en/outside-page.ts";
import { stockPageWords } from "./en/stock-page.ts";

export const enOfDesks = {
  ...entryWords,
  ...boardPageWords,
  ...benchPageWords,
  ...auditPageWords,
  ...machinePapersPageWords,
  ...leaveFleetPageWords,
  ...outsidePageWords,
  ...costsPageWords,
  ...campaignsPageWords,
  ...stockPageWords,
} as const;
