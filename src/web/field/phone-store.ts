// The browser's own store: the offline bundle, walks that are under way, and what waits to be sent. Everything here survives a restart of the phone.
import { type DBSchema, type IDBPDatabase, openDB } from "idb";
import type { Walk } from "../walk/walk.ts";
import type { OfflineBundle } from "./bundle-shape.ts";
import type { Waiting } from "./waiting-shape.ts";

interface PhoneStore extends DBSchema {
  kit: { key: "kit"; value: OfflineBundle };
  walks: { key: string; value: Walk };
  outbox: { key: string; value: Waiting };
}

let opened: Promise<IDBPDatabase<PhoneStore>> | null = null;

function openStore(): Promise<IDBPDatabase<PhoneStore>> {
  opened ??= openDB<PhoneStore>("ferrule", 1, {
    upgrade: (db) => {
      db.createObjectStore("kit");
      db.createObjectStore("walks", { keyPath: "id" });
      db.createObjectStore("outbox", { keyPath: "id" });
    },
    terminated: () => {
      opened = null;
    },
  }).catch((error: unknown) => {
    opened = null;
    throw error;
  });
  return opened;
}

/** The bundle that is kept; null also where this browser keeps nothing. */
export const keptBundle = async (): Promise<OfflineBundle | null> => {
  try {
    return (await (await openStore()).get("kit", "kit")) ?? null;
  } catch {
    return null;
  }
};

/** If there is no room, the bundle stays in memory until the page is closed. */
export const keepBundle = async (bundle: OfflineBundle): Promise<void> => {
  try {
    await (await openStore()).put("kit", bundle, "kit");
  } catch {
    // A later one may fit.
  }
};

export const keptWalks = async (): Promise<Walk[]> => {
  try {
    return await (await openStore()).getAll("walks");
  } catch {
    return [];
  }
};

/** False where the browser has no room: the walk goes on, and a restart would lose it. */
export const keepWalk = async (walk: Walk): Promise<boolean> => {
  try {
    await (await openStore()).put("walks", walk);
    return true;
  } catch {
    return false;
  }
};

export const dropWalk = async (id: string): Promise<void> => {
  try {
    await (await openStore()).delete("walks", id);
  } catch {
    // It is offered again, and can be dropped again.
  }
};

export const keptWaiting = async (): Promise<Waiting[]> => {
  try {
    return await (await openStore()).getAll("outbox");
  } catch {
    return [];
  }
};

/** Throws where the browser keeps nothing or has no room. */
export const keepWaiting = async (waiting: Waiting): Promise<void> => {
  // Durable: acknowledged to the rider only once it is on the disk.
  const transaction = (await openStore()).transaction("outbox", "readwrite", { durability: "strict" });
  await transaction.store.put(waiting);
  await transaction.done;
};

export const dropWaiting = async (id: string): Promise<void> => {
  await (await openStore()).delete("outbox", id);
};
