// How much the contracts take of what people enter. These limits stand apart from the contracts, so that a page, which carries no zod, can
// keep to them too; tests/rules/limits.test.ts reads them back out of the contracts.

export const limits = {
  /** length of a free note, a reason or a statement */
  note: 1000,
  workDone: 2000,
  draftNotes: 2000,
  withdrawalReason: 500,
  correction: 2000,
  correctionPointer: 200,
  paperNumber: 60,
  paperNote: 500,
  staffNumber: 100,
  signInSecret: 200,
  partName: 200,
  partNumber: 100,
  /** in the list of parts, where its number is part of an address */
  listedPartNumber: 60,
  /** on one shelf: screws come in boxes of a thousand */
  stockQuantity: 100_000,
  parts: 50,
  partQuantity: 1000,
  minutes: 10_000,
  /** what a machine struck, and a part that looks bent, in somebody's own words */
  fallWords: 120,
  partsBent: 20,
  /** the name of another workshop with its place */
  workshop: 120,
  repairedThere: 20,
  campaignName: 120,
  campaignModels: 100,
  campaignMachines: 500,
  photos: 10,
  observations: 20,
  places: 10,
  odometerKm: 2_000_000,
  checkSeconds: 86_400,
  celsius: { least: -50, most: 60 },
} as const;
