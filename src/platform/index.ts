export { type ActingPerson, type Actor, depotsInView, mustSeeDepot, noDepot, seesDepot } from "./actor.ts";
export { afterwards } from "./afterwards.ts";
export { askReadiness } from "./ask-readiness.ts";
export { openDoor } from "./calls-at-once.ts";
export { BoundClock, type Clock, MovedClock, mostDriftMs, systemClock } from "./clock.ts";
export { Closing, closeOnSignal } from "./closing.ts";
export { type Config, type FirstStart, fewestConnections, readConfig, type WitnessAddress } from "./config.ts";
export {
  type Database,
  databaseMs,
  embedded,
  openEmbedded,
  type Tx,
} from "./database.ts";

export { againWhereLost, maybeOnesFault, outcomeUnknown, surelyFailed, takenIn } from "./database-errors.ts";
export { digestOf, sortedJson } from "./digest.ts";
export { mustMatch } from "./entity-tag.ts";
export {
  type Catalogue,
  catalogue,
  type ErrorEntry,
  ProblemError,
  type ProblemExtra,
  type ProblemIssue,
  platformErrors,
  pointerPart,
  tryAgain,
} from "./errors.ts";
export { askAgainWith, endWatching, endWatchingIn, eventStream, quietMs, Signal } from "./event-stream.ts";
export { type GatherLimits, gather } from "./gather.ts";
export { type House, idsFrom, saltsFromSystem } from "./house.ts";
export {
  type Authenticate,
  actorOf,
  answerReceipt,
  type Call,
  type MediaAnswer,
  type Route,
  registerRoute,
  route,
  type Who,
} from "./http.ts";
export { answerMalformed } from "./http-malformed.ts";
export { answerError, answerNotFound, answerUnroutable } from "./http-problems.ts";
export { type PartAsked, partAsked, type StoredFile } from "./http-range.ts";
export { readJsonBodies } from "./json-body.ts";
export { keepTime } from "./keep-time.ts";
export { openLog } from "./log.ts";
export { type CountedFigures, type Gauged, type Meter, openMeter } from "./meter.ts";
export { openStore, runCommand } from "./operator-command.ts";
export { cursorFrom, momentAndIdSchema, pageFrom } from "./paging.ts";
export { patiently } from "./patience.ts";
export { latestDay, mustHaveBegun, type Period, periodAsked } from "./period.ts";
export { giveServiceRole } from "./role-store.ts";
export { openServer } from "./server-database.ts";
export { problemRoute } from "./show-problem.ts";
export { sweep } from "./sweep.ts";
export type { TakenAnyway } from "./taken-anyway.ts";
export { type Fed, goneOf, openThreads, type Threads, threadWork } from "./threads.ts";
export { asFirstStart, isUnfinished } from "./unfinished.ts";
export { readIfThere, writeOnce } from "./write-once.ts";
