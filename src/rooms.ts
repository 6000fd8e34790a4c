// All rooms with routes: these and their part of the error catalogue, from left to right.
import { otherLanguages } from "../shared/words/index.ts";
import type { AppContext } from "./acts/index.ts";
import { auditErrors, auditRoutes } from "./audit/index.ts";
import { campaignErrors, campaignRoutes } from "./campaigns/index.ts";
import { checkErrors, checkRoutes } from "./checks/index.ts";
import { costRoutes } from "./costs/index.ts";
import { defectErrors, defectRoutes } from "./defects/index.ts";
import { fleetErrors, fleetRoutes } from "./fleet/index.ts";
import { insightRoutes } from "./insight/index.ts";
import { keepingErrors, keepingRoutes } from "./keeping/index.ts";
import { ledgerErrors, ledgerRoutes } from "./ledger/index.ts";
import { partErrors, partRoutes } from "./parts/index.ts";
import { peopleErrors, peopleRoutes } from "./people/index.ts";
import { photoErrors, photoRoutes } from "./photos/index.ts";
import { planningErrors, planningRoutes } from "./planning/index.ts";
import { platformErrors, problemRoutes, type Route } from "./platform/index.ts";
import { readinessRoutes } from "./readiness/index.ts";
import { reportErrors, reportRoutes } from "./reports/index.ts";
import { witnessRoutes } from "./witness/index.ts";

/** The whole error catalogue: code to status, title and what to do. */
export const allErrors = {
  ...platformErrors.entries,
  ...ledgerErrors.entries,
  ...peopleErrors.entries,
  ...photoErrors.entries,
  ...fleetErrors.entries,
  ...partErrors.entries,
  ...defectErrors.entries,
  ...campaignErrors.entries,
  ...checkErrors.entries,
  ...planningErrors.entries,
  ...reportErrors.entries,
  ...auditErrors.entries,
  ...keepingErrors.entries,
};

export const allRoutes: readonly Route<AppContext>[] = [
  ...ledgerRoutes,
  ...witnessRoutes,
  ...peopleRoutes,
  ...readinessRoutes,
  ...photoRoutes,
  ...fleetRoutes,
  ...partRoutes,
  ...defectRoutes,
  ...campaignRoutes,
  ...checkRoutes,
  ...planningRoutes,
  ...insightRoutes,
  ...reportRoutes,
  ...costRoutes,
  ...auditRoutes,
  ...keepingRoutes,
  ...problemRoutes(allErrors, otherLanguages),
];
