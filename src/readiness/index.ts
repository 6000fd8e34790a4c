export { type InWords, withoutWords, wordsFor, wordsIfRead } from "./free-notes.ts";
export { partsAwaited } from "./note-store.ts";
export { putRightOften } from "./put-right-often.ts";
export { momentAsked, readReadiness, readStandings } from "./read-readiness.ts";
export { readinessRoutes } from "./routes.ts";
