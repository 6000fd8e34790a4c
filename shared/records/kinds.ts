// All kinds of records in one union, told apart by `kind`: each with the newest schema of what it says.
import { z } from "zod";
import { photoAdded, recordCorrected, reportTaken } from "./audit.ts";
import { campaignAdded, campaignEnded } from "./campaigns.ts";
import { dailyCheck, weeklyInspection } from "./checks.ts";
import {
  defectDeferred,
  defectNoted,
  defectNotFound,
  defectRaised,
  defectRegraded,
  defectRepaired,
  defectSighted,
  defectSignedOff,
  defectWaiting,
} from "./defects.ts";
import { machineFell } from "./falls.ts";
import {
  depotAdded,
  depotAmended,
  machineAdded,
  machineAmended,
  machineDisposed,
  machineReinstated,
  machineReturned,
  machinesImported,
  machineWithdrawn,
  modelAdded,
  modelRevised,
  paperAdded,
  paperEnded,
} from "./fleet.ts";
import { holdLifted, holdPlaced, personForgotten, recordsForgotten } from "./keeping.ts";
import { machineSentOut, machineTakenBack } from "./outside-work.ts";
import { firmFounded, personAdded, personAmended, personLeft, policyChanged, secretChanged, secretReset } from "./people.ts";
import { allocationKept } from "./planning.ts";
import { partKept, partsImported, stockRecorded } from "./stores.ts";

const said = <K extends string, Data extends z.ZodType>(kind: K, data: Data) => z.strictObject({ kind: z.literal(kind), data });

export const recordSchema = z.discriminatedUnion("kind", [
  said("firm-founded", firmFounded),
  said("policy-changed", policyChanged),
  said("depot-added", depotAdded),
  said("depot-amended", depotAmended),
  said("model-added", modelAdded),
  said("model-revised", modelRevised),
  said("person-added", personAdded),
  said("person-amended", personAmended),
  said("person-left", personLeft),
  said("secret-reset", secretReset),
  said("secret-changed", secretChanged),
  said("machines-imported", machinesImported),
  said("machine-added", machineAdded),
  said("machine-amended", machineAmended),
  said("machine-withdrawn", machineWithdrawn),
  said("machine-returned", machineReturned),
  said("machine-disposed", machineDisposed),
  said("machine-reinstated", machineReinstated),
  said("paper-added", paperAdded),
  said("paper-ended", paperEnded),
  said("machine-fell", machineFell),
  said("machine-sent-out", machineSentOut),
  said("machine-taken-back", machineTakenBack),
  said("daily-check", dailyCheck),
  said("weekly-inspection", weeklyInspection),
  said("defect-raised", defectRaised),
  said("defect-sighted", defectSighted),
  said("defect-regraded", defectRegraded),
  said("defect-deferred", defectDeferred),
  said("defect-waiting", defectWaiting),
  said("defect-noted", defectNoted),
  said("defect-repaired", defectRepaired),
  said("defect-signed-off", defectSignedOff),
  said("defect-not-found", defectNotFound),
  said("allocation-kept", allocationKept),
  said("part-kept", partKept),
  said("stock-recorded", stockRecorded),
  said("parts-imported", partsImported),
  said("campaign-added", campaignAdded),
  said("campaign-ended", campaignEnded),
  said("photo-added", photoAdded),
  said("record-corrected", recordCorrected),
  said("report-taken", reportTaken),
  said("hold-placed", holdPlaced),
  said("hold-lifted", holdLifted),
  said("records-forgotten", recordsForgotten),
  said("person-forgotten", personForgotten),
]);

type Frozen<T> = T extends readonly (infer One)[]
  ? readonly Frozen<One>[]
  : T extends object
    ? { readonly [Member in keyof T]: Frozen<T[Member]> }
    : T;

type Union = z.output<typeof recordSchema>;
export type RecordKind = Union["kind"];

/** The kind alone, as tables and views have it in a column. */
export const kindSchema = z.enum(recordSchema.options.map(({ shape }) => shape.kind.value));

/** What an entry of this kind says, in its newest shape. */
export type Said<K extends RecordKind> = Frozen<Extract<Union, { readonly kind: K }>["data"]>;

type OneOf<K extends RecordKind> = { [P in K]: { readonly kind: P; readonly data: Said<P> } }[K];

/**
 * A kind with what it says. For several kinds it is a union, so that a switch over `kind` knows `data`; the intersection tells the compiler
 * that it is also one of all kinds.
 */
export type RecordContent<K extends RecordKind = RecordKind> = OneOf<RecordKind> & OneOf<K>;
