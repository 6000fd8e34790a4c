// What is decided about models, machines and papers, apart from any database.
import { hasBrake, hasClutchLever, hasEngine, hasPower, isLiquidCooled } from "../../shared/catalogue/features.ts";
import type { Machine, MachineAmendment, MachineListQuery, ModelBody } from "../../shared/contracts/fleet.ts";
import { localDay } from "../../shared/rules/calendar.ts";
import { checkVin, normaliseMark } from "../../shared/rules/identity.ts";
import {
  disposedOf,
  type MachineState,
  movedAway,
  reinstatedAt,
  returnedAt,
  withdrawnFrom,
  withOdometer,
} from "../../shared/rules/machine-state.ts";
import type { MachineFacts, MachineParticulars } from "../acts/index.ts";
import type { NewEntry } from "../ledger/index.ts";
import { notValid, type ProblemIssue } from "../platform/index.ts";
import { fleetErrors } from "./errors.ts";
import type { MachineEntry } from "./machine-entry-store.ts";

/** A text as it was understood, or what stands against it. */
export type Understood = { readonly value: string } | { readonly wrong: string };

/** A registration mark as it is stored. */
export function readMark(text: string): Understood {
  const check = normaliseMark(text);
  if (check.ok) return { value: check.mark };
  return { wrong: check.why === "length" ? "has to be 2 to 12 letters and digits" : "may hold letters and digits only" };
}

/** An identification number as it is stored; a wrong check digit does not refuse it. */
export function readVin(text: string): Understood {
  const check = checkVin(text);
  if (check.ok) return { value: check.vin };
  return { wrong: check.why === "length" ? "has to be 17 characters" : "may hold digits and letters other than I, O and Q only" };
}

/** The mark and number of a machine as they are stored; what was not sent stays out. Throws `not-valid`. */
export function readIdentity(sent: { readonly registrationMark?: string | undefined; readonly vin?: string | null | undefined }): {
  registrationMark?: string;
  vin?: string | null;
} {
  const mark = sent.registrationMark === undefined ? undefined : readMark(sent.registrationMark);
  const vin = typeof sent.vin === "string" ? readVin(sent.vin) : undefined;
  const issues: ProblemIssue[] = [];
  if (mark && "wrong" in mark) issues.push({ pointer: "/registrationMark", message: mark.wrong });
  if (vin && "wrong" in vin) issues.push({ pointer: "/vin", message: vin.wrong });
  if (issues.length > 0) throw notValid(issues);
  return {
    ...(mark && "value" in mark ? { registrationMark: mark.value } : {}),
    ...(vin && "value" in vin ? { vin: vin.value } : sent.vin === null ? { vin: null } : {}),
  };
}

/** The mark and number that a list is asked for, as they are stored; null: not asked for. Throws `not-valid`. */
export function readIdentityAsked({ mark, vin }: Pick<MachineListQuery, "mark" | "vin">): {
  readonly mark: string | null;
  readonly vin: string | null;
} {
  const issues: ProblemIssue[] = [];
  const read = (pointer: string, text: string | undefined, as: (text: string) => Understood): string | null => {
    const understood = text === undefined ? null : as(text);
    if (understood && "wrong" in understood) issues.push({ pointer, message: understood.wrong });
    return understood && "value" in understood ? understood.value : null;
  };
  const asked = { mark: read("/query/mark", mark, readMark), vin: read("/query/vin", vin, readVin) };
  if (issues.length > 0) throw notValid(issues);
  return asked;
}

/** What is contradictory in a model: figures for parts that a machine with these features does not have. */
export function modelIssues({ engineCc, features, handbook }: Omit<ModelBody, "name">): ProblemIssue[] {
  const engine = hasEngine(features);
  const issues: (ProblemIssue | false)[] = [
    engine && engineCc === null && { pointer: "/engineCc", message: "a machine with an engine has its size in cm³" },
    !engine && engineCc !== null && { pointer: "/engineCc", message: "an electric machine has no engine size: null" },
    features.drive === "hub-motor" && engine && { pointer: "/features/drive", message: "a hub motor is electric" },
    features.drive === "hub-motor" && features.gearcase !== "none" && { pointer: "/features/gearcase", message: "a hub motor has none" },
    !engine && features.choke && { pointer: "/features/choke", message: "an electric machine has no choke" },
    !engine && features.decompressor && { pointer: "/features/decompressor", message: "an electric machine has no decompressor" },
    features.start === "pedals" && !features.pedals && { pointer: "/features/pedals", message: "a machine started by pedals has pedals" },
    handbook.chainSlack !== undefined &&
      features.drive !== "chain" && { pointer: "/handbook/chainSlack", message: "only for a machine driven by chain" },
    handbook.chain !== undefined &&
      features.drive !== "chain" && { pointer: "/handbook/chain", message: "only for a machine driven by chain" },
    handbook.brakeRodNewMm !== undefined &&
      !hasBrake("front", "drum-rod")(features) &&
      !hasBrake("rear", "drum-rod")(features) && { pointer: "/handbook/brakeRodNewMm", message: "only for a drum brake worked by a rod" },
    handbook.plugGap !== undefined && !engine && { pointer: "/handbook/plugGap", message: "an electric machine has no spark plug" },
    handbook.clutchFreeTravel !== undefined &&
      !hasClutchLever(features) && { pointer: "/handbook/clutchFreeTravel", message: "a machine with these features has no clutch lever" },
    handbook.oilChange !== undefined &&
      !engine &&
      features.gearcase === "none" && { pointer: "/handbook/oilChange", message: "there is neither an engine nor a gearcase to fill" },
    handbook.brakeFluid !== undefined &&
      !hasBrake("front", "disc-hydraulic")(features) &&
      !hasBrake("rear", "disc-hydraulic")(features) && { pointer: "/handbook/brakeFluid", message: "only for a hydraulic brake" },
    handbook.valveClearance !== undefined &&
      !hasPower("four-stroke")(features) && { pointer: "/handbook/valveClearance", message: "only a four-stroke has valves to set" },
    handbook.belt !== undefined && features.drive !== "belt" && { pointer: "/handbook/belt", message: "only for a machine driven by belt" },
    handbook.coolant !== undefined &&
      !isLiquidCooled(features) && { pointer: "/handbook/coolant", message: "only for a machine cooled by liquid" },
  ];
  return issues.filter((issue) => issue !== false);
}

/** What an amendment comes to; no entries where everything is as asked already. */
export interface Amended {
  readonly entries: readonly NewEntry[];
  readonly state: MachineState;
  readonly particulars: MachineParticulars;
  readonly depotId: string;
}

/** An amendment as asked, its mark and number as they are stored. */
export type Asked = Omit<MachineAmendment, "registrationMark" | "vin"> & { registrationMark?: string; vin?: string | null };

/** Throws `machine-disposed` for a machine that was sold or scrapped. */
export function mustBeOfTheFleet({ state, depot }: Pick<MachineFacts, "state" | "depot">): void {
  if (state.disposed === undefined) return;
  const { how, since } = state.disposed;
  throw fleetErrors.problem("machine-disposed", `It was ${how} on ${localDay(new Date(since), depot.timeZone)}. Nothing was stored.`);
}

/**
 * Decides an amendment on the machine's facts. Throws `already-withdrawn` where it is, for another reason, and `machine-disposed` for any change
 * of a machine that was sold or scrapped but the one that brings it back.
 */
export function amend(facts: MachineFacts, asked: Asked, recordedAt: Date, newId: () => string): Amended {
  const { machine, model, state } = facts;
  const now = {
    registrationMark: machine.registrationMark,
    vin: machine.vin,
    modelId: model.id,
    depotId: machine.depotId,
    inServiceFrom: machine.inServiceFrom,
    odometerKm: state.odometerKm,
  };
  const changed = (Object.keys(now) as (keyof typeof now)[]).filter((key) => asked[key] !== undefined && asked[key] !== now[key]);
  const after = Object.fromEntries(changed.map((key) => [key, asked[key]])) as Partial<typeof now>;
  const entries: NewEntry[] = [];

  const { disposed, ...others } = asked;
  const isAgain = disposed?.how === state.disposed?.how && Object.values(others).every((value) => value === undefined);
  if (disposed !== null && !isAgain) mustBeOfTheFleet(facts);
  let next = state;
  if (changed.length > 0) {
    const before = Object.fromEntries(changed.map((key) => [key, now[key]]));
    const moved = after.depotId === undefined ? {} : { clearancesEnded: true as const };
    const data = { before, after, ...moved, ...(after.odometerKm === undefined ? {} : { reason: asked.reason }) };
    entries.push({ id: newId(), kind: "machine-amended", performedAt: recordedAt, data });
  }
  const { depotId = machine.depotId, odometerKm, ...particulars } = after;
  const at = recordedAt.toISOString();
  if (depotId !== machine.depotId) next = movedAway(next, at);
  if (odometerKm !== undefined) next = withOdometer(next, odometerKm, at);

  if (asked.withdrawn && state.withdrawn === null) {
    const { reason } = asked.withdrawn;
    entries.push({ id: newId(), kind: "machine-withdrawn", performedAt: recordedAt, data: { reason } });
    next = withdrawnFrom(next, at, reason);
  } else if (asked.withdrawn && asked.withdrawn.reason !== state.withdrawn?.reason) {
    throw fleetErrors.problem("already-withdrawn", `It was withdrawn for this reason: ${state.withdrawn?.reason}. Nothing was stored.`);
  } else if (asked.withdrawn === null && state.withdrawn !== null) {
    const { since } = state.withdrawn;
    entries.push({ id: newId(), kind: "machine-returned", performedAt: recordedAt, data: { withdrawnSince: since } });
    next = returnedAt(next, at);
  }
  const left = leaving(next, asked.disposed, recordedAt, newId);
  return { entries: [...entries, ...left.entries], state: left.state, particulars, depotId };
}

/** Out of the fleet, or back; the state as it is where nothing of the kind was asked or it is so already. */
function leaving(
  state: MachineState,
  disposed: Asked["disposed"],
  recordedAt: Date,
  newId: () => string,
): Pick<Amended, "entries" | "state"> {
  const at = recordedAt.toISOString();
  const entry = { id: newId(), performedAt: recordedAt };
  if (disposed && state.disposed === undefined) {
    const { how, note } = disposed;
    const data = { how, ...(note === undefined ? {} : { note }) };
    return { entries: [{ ...entry, kind: "machine-disposed", data }], state: disposedOf(state, at, how) };
  }
  if (disposed === null && state.disposed) {
    const { since, how } = state.disposed;
    return { entries: [{ ...entry, kind: "machine-reinstated", data: { disposedSince: since, how } }], state: reinstatedAt(state, at) };
  }
  return { entries: [], state };
}

/** What people said of the odometer besides its readings; instants are ISO, in UTC. */
export interface OdometerByHand {
  /** as the machine entered the fleet; null where none of the entries says so */
  readonly added: { readonly at: string; readonly odometerKm: number } | null;
  /** where it was set, in order */
  readonly set: readonly { readonly at: string; readonly fromKm: number; readonly toKm: number }[];
}

/** The odometer as it stood when a machine was added and as it was set since, from the machine's entries in their order. */
export function odometerByHand(entries: readonly MachineEntry[]): OdometerByHand {
  const said = entries.map(({ at, ...entry }) => ({ at: at.toISOString(), ...entry }));
  return {
    added:
      said.flatMap(({ kind, at, odometerKm }) => (kind === "machine-added" && odometerKm !== null ? { at, odometerKm } : []))[0] ?? null,
    set: said.flatMap(({ kind, at, fromKm, toKm }) =>
      kind === "machine-amended" && fromKm !== null && toKm !== null ? { at, fromKm, toKm } : [],
    ),
  };
}

/** What a manager can change of a machine, as it is answered; its standing and odometer move with every check. */
export const particularsOf = ({ registrationMark, vin, modelId, depotId, inServiceFrom, reasons }: Machine): object => {
  const stands = (...codes: readonly string[]): boolean => reasons.some(({ code }) => codes.includes(code));
  return {
    ...{ registrationMark, vin, modelId, depotId, inServiceFrom, withdrawn: stands("withdrawn") },
    ...(stands("sold", "scrapped") ? { disposed: true } : {}),
  };
};

/** The same particulars, from the facts that a change is decided on. */
export const particularsKnown = ({ machine, model, state }: MachineFacts): object => {
  const { registrationMark, vin, depotId, inServiceFrom } = machine;
  return {
    ...{ registrationMark, vin, modelId: model.id, depotId, inServiceFrom, withdrawn: state.withdrawn !== null },
    ...(state.disposed === undefined ? {} : { disposed: true }),
  };
};
