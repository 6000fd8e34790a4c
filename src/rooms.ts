// All rooms with a door to the outside: their routes and their part of the error catalogue, from the left to the right.
import type { AppContext } from "./acts/index.ts";
import { auditErrors, auditRoutes } from "./audit/index.ts";
import { checkErrors, checkRoutes } from "./checks/index.ts";
import { defectErrors, defectRoutes } from "./defects/index.ts";
import { fleetErrors, fleetRoutes } from "./fleet/index.ts";
import { insightRoutes } from "./insight/index.ts";
import { keepingErrors, keepingRoutes } from "./keeping/index.ts";
import { ledgerErrors, ledgerRoutes } from "./ledger/index.ts";
import { peopleErrors, peopleRoutes } from "./people/index.ts";
import { photoErrors, photoRoutes } from "./photos/index.ts";
import { planningRoutes } from "./planning/index.ts";
import { type Catalogue, platformErrors, problemRoute, type Route } from "./platform/index.ts";
import { readinessRoutes } from "./readiness/index.ts";
import { reportErrors, reportRoutes } from "./reports/index.ts";
import { witnessRoutes } from "./witness/index.ts";

export interface Room {
  readonly name: string;
  readonly routes: readonly Route<AppContext>[];
  readonly errors: Catalogue<string> | null;
}

export const rooms: readonly Room[] = [
  { name: "ledger", routes: ledgerRoutes, errors: ledgerErrors },
  { name: "witness", routes: witnessRoutes, errors: null },
  { name: "people", routes: peopleRoutes, errors: peopleErrors },
  { name: "readiness", routes: readinessRoutes, errors: null },
  { name: "photos", routes: photoRoutes, errors: photoErrors },
  { name: "fleet", routes: fleetRoutes, errors: fleetErrors },
  { name: "defects", routes: defectRoutes, errors: defectErrors },
  { name: "checks", routes: checkRoutes, errors: checkErrors },
  { name: "planning", routes: planningRoutes, errors: null },
  { name: "insight", routes: insightRoutes, errors: null },
  { name: "reports", routes: reportRoutes, errors: reportErrors },
  { name: "audit", routes: auditRoutes, errors: auditErrors },
  { name: "keeping", routes: keepingRoutes, errors: keepingErrors },
];

/** The whole catalogue: code to status and title. */
export const allErrors = Object.fromEntries(
  [platformErrors, ...rooms.flatMap((room) => room.errors ?? [])].flatMap((part) => Object.entries(part.entries)),
);

export const allRoutes: readonly Route<AppContext>[] = [...rooms.flatMap((room) => room.routes), problemRoute(allErrors)];
