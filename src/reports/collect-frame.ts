// What every report needs: its frame, the depots that it covers, its machines by name.
import type { Checkpoint } from "../../shared/contracts/records.ts";
import type { Reason } from "../../shared/rules/standing.ts";
import { type Language, word } from "../../shared/words/index.ts";
import { sayReason } from "../../shared/words/say-reason.ts";
import type { AppContext, MachineFacts, Moment } from "../acts/index.ts";
import { checkpointSha256, lastCheckpointBy } from "../ledger/index.ts";
import type { NamedPerson, SecretSet } from "../people/index.ts";
import { type Database, type DepotIds, noDepot, type View } from "../platform/index.ts";
import type { CheckpointOnReport, Frame, MachineIdentity, Person, SecretSetBefore } from "./facts.ts";
import { phrasesFor } from "./phrases.ts";
import { type DepotRow, type IdentityRow, readDepots, readFirmName, readIdentities } from "./store.ts";

/** The frame of a report about one depot. */
export const frameOfDepot = async (
  context: AppContext,
  { name, timeZone }: Pick<DepotRow, "name" | "timeZone">,
  language: Language,
  at: Moment = null,
): Promise<Frame> => {
  const printedAt = context.clock.now();
  const checkpoint = await lastCheckpointBy(context.db, at ?? printedAt);
  return {
    firmName: await readFirmName(context.db),
    depotName: name,
    timeZone,
    language,
    ...{ printedAt, checkpoint: checkpoint && checkpointOnReport(checkpoint) },
    ...(at === null ? {} : { asAt: at }),
  };
};

export const checkpointOnReport = (checkpoint: Checkpoint): CheckpointOnReport => ({
  number: checkpoint.number,
  takenAt: new Date(checkpoint.takenAt),
  records: checkpoint.treeSize,
  sha256: checkpointSha256(checkpoint),
});

/** Makes the function that puts reasons into words on this report, with its form of days. Made once a report, since date formats are expensive to make. */
export function reasonsOnReport(frame: Frame): (reasons: readonly Reason[]) => string[] {
  const { day } = phrasesFor(frame);
  const say = (reason: Reason): string =>
    reason.code === "unchecked" ? word("report.reason.unchecked", frame.language) : sayReason(onCalendar(reason), frame.language).text;
  const onCalendar = (reason: Reason): Reason => ({
    ...reason,
    ...(reason.day === undefined ? {} : { day: day(reason.day) }),
    ...(reason.expectedDay === undefined ? {} : { expectedDay: day(reason.expectedDay) }),
  });
  // 'Not checked' is shown only as the first reason: behind a graver one it does not matter, since a check would clear nothing.
  return (reasons) =>
    reasons
      .filter(({ code }, place) => code !== "unchecked" || place === 0)
      .sort((one, other) => weightOf(one) - weightOf(other))
      .map(say);
}

/** The gravest defects come first; all else keeps the order in which the standing was decided. */
const weightOf = ({ code, category }: Reason): number => (code !== "grounding-defect" ? 2 : category === "dangerous" ? 0 : 1);

export interface DepotsOfReport {
  readonly frame: Frame;
  readonly depots: readonly DepotRow[];
  /** the depots to filter by; null: all */
  readonly depotIds: readonly string[] | null;
}

/** The depots that a report about a fleet covers: the one asked for, else all in view. Throws `not-found`. */
export async function depotsOfReport(
  context: AppContext,
  { depotIds, asked }: View,
  language: Language,
  at: Moment = null,
): Promise<DepotsOfReport> {
  const covered = await frameOfDepots(context, depotIds, language, at);
  if (asked !== undefined && covered.depots.length === 0) throw noDepot();
  return covered;
}

/**
 * The depots with these ids, or all, by name. If they lie in several time zones, every time is in the zone of the machine's own depot.
 */
export async function frameOfDepots(
  context: AppContext,
  depotIds: DepotIds,
  language: Language,
  at: Moment = null,
): Promise<DepotsOfReport> {
  const depots = await readDepots(context.db, depotIds);
  const [first, ...others] = depots;
  if (first && others.length === 0) return { frame: await frameOfDepot(context, first, language, at), depots, depotIds };
  const name = depotIds === null ? word("report.all-depots", language) : depots.map((depot) => depot.name).join(", ");
  const zones = new Set(depots.map(({ timeZone }) => timeZone));
  const [zone] = zones;
  if (zones.size === 1 && zone) return { frame: await frameOfDepot(context, { name, timeZone: zone }, language, at), depots, depotIds };
  return { frame: { ...(await frameOfDepot(context, { name, timeZone: "UTC" }, language, at)), clocks: "each-depot" }, depots, depotIds };
}

/** A person as reports name them; a dash if the id is unknown. */
export const personIn = (people: ReadonlyMap<string, NamedPerson>, staffId: string): Person =>
  people.get(staffId) ?? { name: "\u2013", staffNumber: "\u2013" };

/** Who had set the signer's secret, if that has to be shown. */
export const secretSetOf = (set: SecretSet | undefined): { readonly secretSet?: SecretSetBefore } =>
  set === undefined ? {} : { secretSet: { at: set.setAt, by: set.setBy, chosenAt: set.chosenAt } };

/** A machine as a report names it, from the facts about it. */
export const identityOf = ({ machine, model, state }: MachineFacts): MachineIdentity => ({
  registrationMark: machine.registrationMark,
  modelName: model.name,
  vin: machine.vin,
  odometerKm: state.odometerKm,
  inServiceFrom: machine.inServiceFrom,
});

/** Machines by id, each as a report named it at the moment; with its depot where the report covers several. */
export async function machineIdentities(
  db: Database,
  machineIds: readonly string[],
  { ofDepots, at }: { readonly ofDepots: boolean; readonly at: Moment },
): Promise<Map<string, IdentityRow & { readonly identity: MachineIdentity }>> {
  const rows = await readIdentities(db, [...new Set(machineIds)], at);
  const depots = new Map((ofDepots ? await readDepots(db, null) : []).map((depot) => [depot.id, depot]));
  return new Map(
    rows.map((row) => {
      const { registrationMark, modelName, vin, odometerKm, inServiceFrom } = row;
      const depot = depots.get(row.depotId);
      return [row.id, { ...row, identity: { registrationMark, modelName, vin, odometerKm, inServiceFrom, ...(depot ? { depot } : {}) } }];
    }),
  );
}
