// The walk round the machine, in order. Both sheets follow it; a station without items on a sheet is passed by.
import type { Station } from "./types.ts";

const walkingOrder = ["saddle", "front-wheel", "rear-wheel", "drive", "engine", "lights", "bench", "rolling", "rider"] as const;

export type StationId = (typeof walkingOrder)[number];

/** Stations in walking order; `order` counts from 1. */
export const stations: readonly (Station & { readonly id: StationId })[] = walkingOrder.map((id, index) => ({ id, order: index + 1 }));

/** The place of a station on the walk; throws for an id that is no station. */
export const stationOrder = (stationId: string): number => {
  const station = stations.find(({ id }) => id === stationId);
  if (!station) throw new Error(`no station "${stationId}"`);
  return station.order;
};
