// The board of a depot or of the whole firm, now or as it stood at any past moment.

import type { Standing } from "../../shared/contracts/common.ts";
import type { Readiness } from "../../shared/contracts/readiness.ts";
import { groundedSince } from "../../shared/rules/grounded-since.ts";
import { countStandings, type StandingAt, standingAt } from "../../shared/rules/standing.ts";
import { word } from "../../shared/words/index.ts";
import { sayReason } from "../../shared/words/say-reason.ts";
import { type AppContext, type Moment, noteUnjudged, readPolicy, readPolicyAt } from "../acts/index.ts";
import { noDepot, platformErrors, type View } from "../platform/index.ts";
import { wordsFor } from "./free-notes.ts";
import { putRightOften } from "./put-right-often.ts";
import { type BoardRow, isDepot, readBoard, readBoardAt, readWeights } from "./store.ts";

export interface BoardLine extends StandingAt {
  readonly machine: BoardRow;
  /** since when it is grounded or withdrawn; null where it is neither */
  readonly groundedAt: Date | null;
}

/** The moment asked for, null for now. Throws `not-valid` for one that is still to come. */
export function momentAsked(now: Date, at: Date | string | undefined): Moment {
  if (at === undefined) return null;
  const moment = new Date(at);
  if (moment <= now) return moment;
  throw platformErrors.problem("not-valid", "Nobody knows how things stand at a moment that is still to come.", {
    issues: [{ pointer: "/query/at", message: "must not be in the future" }],
  });
}

/** Every machine's standing at a moment (now without one), by registration mark. Throws `not-found`, and `not-valid` for the future. */
export async function readStandings(
  context: AppContext,
  { depotIds, asked }: View,
  atMoment?: Date | string,
): Promise<{ at: Date; lines: BoardLine[] }> {
  const now = context.clock.now();
  const moment = momentAsked(now, atMoment);
  const at = moment ?? now;
  const [rows, policy] = await Promise.all([
    moment === null ? readBoard(context.db, depotIds) : readBoardAt(context.db, depotIds, moment),
    moment === null ? readPolicy(context.db) : readPolicyAt(context.db, moment),
  ]);
  if (moment === null) noteUnjudged(context, rows);
  // An empty board is answered only for a depot that there is: a mistyped id must not read as "nothing stands still".
  if (rows.length === 0 && asked !== undefined && !(await isDepot(context.db, asked))) throw noDepot();
  const judged = rows.map((machine) => ({ machine, ...standingAt(machine.state, at, { timeZone: machine.timeZone, policy }) }));
  const stands = judged.flatMap(({ standing, reasons }) => (standsStill(standing) ? reasons : []));
  const [inWords, weightsOf] = await Promise.all([
    wordsFor(
      context.db,
      judged.flatMap(({ reasons }) => reasons),
    ),
    readWeights(
      context.db,
      stands.flatMap(({ code, defectId }) => (defectId !== undefined && code !== "minor-defect" ? [defectId] : [])),
      at,
    ),
  ]);
  const lines = judged.map(({ machine, standing, reasons }) => ({
    machine,
    standing,
    reasons: inWords(reasons),
    groundedAt: standsStill(standing) ? groundedSince(machine.state, reasons, weightsOf, { at, timeZone: machine.timeZone }) : null,
  }));
  return { at, lines };
}

const standsStill = (standing: Standing): boolean => standing === "grounded" || standing === "withdrawn";

/** The board as an answer. */
export async function readReadiness(context: AppContext, view: View, atMoment?: Date | string): Promise<Readiness> {
  const { at, lines } = await readStandings(context, view, atMoment);
  return {
    depotId: view.asked ?? null,
    at: at.toISOString(),
    totals: countStandings(lines),
    machines: lines.map(({ machine, standing, reasons, groundedAt }) => ({
      machineId: machine.id,
      registrationMark: machine.registrationMark,
      depotId: machine.depotId,
      standing,
      reasons: reasons.map((reason) => sayReason(reason)),
      putRightOften: putRightOften(machine.state, at, machine.timeZone),
      groundedAt: groundedAt?.toISOString() ?? null,
    })),
    caution: word("caution.line"),
  };
}
