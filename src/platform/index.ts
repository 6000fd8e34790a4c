export { type ActingPerson, type Actor, type DepotIds, mustSeeDepot, noDepot, seesDepot, type View, viewOf } from "./actor.ts";
export { afterwards } from "./afterwards.ts";
export { canonical } from "./canonical.ts";
export { BoundClock, type Clock, MovedClock, mostDriftMs, systemClock } from "./clock.ts";
export { Closing, closeOnSignal } from "./closing.ts";
export { type Config, fewestConnections, readConfig, type WitnessAddress } from "./config.ts";
export { idsFrom, type ServiceContext, saltsFromSystem } from "./context.ts";
export { type CsvRow, readCsvFile } from "./csv-file.ts";
export { batch, tooManyWaiting } from "./database/batch.ts";
export { type Database, databaseMs, embedded, openEmbedded, type Tx } from "./database/database.ts";
export { againWhereLost, maybeOnesFault, outcomeUnknown, surelyFailed, takenIn } from "./database/database-errors.ts";
export { patiently } from "./database/patience.ts";
export { giveServiceRole } from "./database/role-store.ts";
export { openServer } from "./database/server-database.ts";
export { among, asInstant, idsIn, instantText } from "./database/sql-store.ts";
export { type Ask, command, type RowOf, type Statement, statement } from "./database/statement.ts";
export { asFirstStart, isUnfinished } from "./database/unfinished.ts";
export { digestOf, sortedJson } from "./digest.ts";
export { catalogue, notValid, ProblemError, type ProblemIssue, platformErrors, tryAgain } from "./errors.ts";
export { askReadiness } from "./http/ask-readiness.ts";
export { openDoor } from "./http/calls-at-once.ts";
export { mustMatch } from "./http/entity-tag.ts";
export { EventStreams, quietMs, Signal } from "./http/event-stream.ts";
export { readJsonBodies } from "./http/json-body.ts";
export { preferredLanguage } from "./http/language.ts";
export { answerMalformed } from "./http/malformed.ts";
export { type CountedFigures, type Gauged, type Meter, openMeter } from "./http/meter.ts";
export { cursorFrom, momentAndIdSchema, pageFrom, textAndIdSchema } from "./http/paging.ts";
export { answerError, answerNotFound, answerUnroutable } from "./http/problems.ts";
export { partAsked } from "./http/range.ts";
export {
  answerReceipt,
  type Call,
  MadeAsText,
  type MediaAnswer,
  type OpenCall,
  type Route,
  routesWith,
  tableOf,
} from "./http/route.ts";
export { type Authenticate, actorOf, registerRoute } from "./http/routes.ts";
export { problemRoutes } from "./http/show-problem.ts";
export type { TakenAnyway } from "./http/taken-anyway.ts";
export {
  allButAuditor,
  allButRider,
  anyone,
  manager,
  managerOrAuditor,
  mechanic,
  mechanicOrManager,
  riderOrMechanic,
  signedIn,
} from "./http/who.ts";
export {
  type Asked,
  type Asking,
  act,
  depot,
  depotInBody,
  eachRow,
  firm,
  idOf,
  inView,
  machineInBody,
  none,
  objectOf,
  own,
  shared,
  type Whose,
} from "./http/whose.ts";
export { keepTime } from "./keep-time.ts";
export { openLog } from "./log.ts";
export { openStore, runCommand } from "./operator-command.ts";
export { latestDay, mustHaveBegun, type Period, periodAsked } from "./period.ts";
export { sweep } from "./sweep.ts";
export { goneOf, openThreads, type Threads, threadWork } from "./threads.ts";
export { readIfThere, writeOnce } from "./write-once.ts";
