import { catalogue } from "../platform/index.ts";

export const keepingErrors = catalogue({
  "already-lifted": { status: 409, title: "The hold is lifted already" },
  "still-here": { status: 409, title: "This person has not left" },
  "under-hold": { status: 409, title: "A legal hold keeps this" },
});
