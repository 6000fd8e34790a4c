// The German words that only the bench, the board and the auditor's desk need: they are loaded with these areas.
import { auditPageWords } from "./de/audit-page.ts";
import { benchPageWords } from "./de/bench-page.ts";
import { boardPageWords } from "./de/board-page.ts";
import { campaignsPageWords } from "./de/campaigns-page.ts";
import { costsPageWords } from "./de/costs-page.ts";
import { entryWords } from "./de/entries.ts";
import { leaveFleetPageWords } from "./de/leave-fleet-page.ts";
import { machinePapersPageWords } from "./de/machine-papers-page.ts";
import { outsidePageWords } from "./de/outside-page.ts";
import { stockPageWords } from "./de/stock-page.ts";

export const deOfDesks = {
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
