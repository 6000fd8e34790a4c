// How photos and the records that name them come together, whichever arrives first. A photo that is there when its record is written
// goes into the record's entry with its hash; one that comes later gets an entry of its own on the machine's chain.
import { v5 } from "uuid";
import { type ActRows, type AppContext, actOnMachine, type KnownEntry } from "../acts/index.ts";
import { type Actor, afterwards, ProblemError } from "../platform/index.ts";
import { type PhotoUseRow, photoUseRows } from "./row-store.ts";
import { findPhotosOf, type PhotoRow, photosNotHung } from "./store.ts";

/** A photo as an entry carries it: covered by the entry's hash through its own. */
export interface PhotoInEntry {
  readonly id: string;
  readonly sha256: string;
}

/** Hashes by id of those photos that a record names and that had arrived before it. */
export type NamedPhotos = ReadonlyMap<string, string>;

/** Looks up the photos that a record will name, before it is decided. Only what the actor has sent counts. */
export async function lookUpPhotos(context: AppContext, actor: Actor, ids: readonly string[]): Promise<NamedPhotos> {
  if (ids.length === 0) return new Map();
  const found = await findPhotosOf(context.db, actor.staffId, ids);
  return new Map(found.map(({ id, sha256 }) => [id, sha256]));
}

/** The photos among these ids that had arrived, each once, as the entry stores them. */
export const namedPhotos = (ids: readonly string[], arrived: NamedPhotos): PhotoInEntry[] =>
  [...new Set(ids)].flatMap((id) => {
    const sha256 = arrived.get(id);
    return sha256 === undefined ? [] : [{ id, sha256 }];
  });

/** The flag of a record that names a photo which has not arrived. */
export const awaitedFlags = (ids: readonly string[], arrived: NamedPhotos): "photo-awaited"[] =>
  ids.every((id) => arrived.has(id)) ? [] : ["photo-awaited"];

/** The rows that say which entry names which photo. */
export const usesOf = (ids: readonly string[], { entryId, machineId, defectId, staffId }: Omit<PhotoUseRow, "photoId">): ActRows =>
  photoUseRows([...new Set(ids)].map((photoId) => ({ photoId, entryId, machineId, defectId, staffId })));

/**
 * Attaches photos that arrived while the record which names them was being written: then the photo's call saw no record to attach it to, and
 * the record no photo. Whichever is stored second looks for the other, so that none is missed. The record is stored by now; what fails here is
 * made up for by `hangWaiting`.
 */
export async function hangArrived(
  context: AppContext,
  actor: Actor,
  { entry, ids }: { entry: KnownEntry; ids: readonly string[] },
): Promise<void> {
  const { data } = entry;
  const photos: readonly PhotoInEntry[] = "photos" in data ? data.photos : [];
  const missing = ids.filter((id) => !photos.some((photo) => photo.id === id));
  if (missing.length === 0 || entry.machineId === null) return;
  const { machineId } = entry;
  await afterwards(context, "its photos were not looked for", async () => {
    for (const photo of await findPhotosOf(context.db, actor.staffId, missing)) await hangOn(context, actor.staffId, machineId, photo);
  });
}

/** Attaches photos that a record names and no entry carries yet: makes up for calls that broke off. */
export async function hangWaiting(context: AppContext): Promise<void> {
  for (const { machineId, ...photo } of await photosNotHung(context.db)) {
    await afterwards(context, "a photo could not be hung on the record that names it", () =>
      hangOn(context, photo.addedBy, machineId, photo),
    );
  }
}

/** Writes the entry for a photo that came after its record; once for a photo and a machine, however often it is called. */
export async function hangOn(context: AppContext, staffId: string, machineId: string, photo: PhotoRow): Promise<void> {
  // RFC 9562, 5.5: an id that follows from machine and photo, so that a second entry is refused.
  const id = v5(machineId, photo.id);
  const photos: PhotoInEntry[] = [{ id: photo.id, sha256: photo.sha256 }];
  const submission = { id, kinds: ["photo-added"] as const, body: { photoId: photo.id } };
  // The record was accepted, so its photo is accepted too, even if machine or sender have moved to another depot since.
  await actOnMachine(context, { machineId, actor: { staffId, depotIds: null }, submission }, ({ state }, recordedAt) => ({
    entries: [
      {
        id,
        kind: "photo-added",
        performedAt: photo.addedAt < recordedAt ? photo.addedAt : recordedAt,
        data: { submitted: submission.body, photos },
      },
    ],
    state,
  })).catch((error: unknown) => {
    // `id-in-progress`: the other call is writing this entry at the same moment.
    if (!(error instanceof ProblemError && error.code === "id-in-progress")) throw error;
  });
}
