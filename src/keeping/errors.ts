import { catalogue } from "../platform/index.ts";

export const keepingErrors = catalogue({
  "already-lifted": {
    status: 409,
    title: "The hold is lifted already",
    help: "The hold is lifted. Nothing needs to be done.",
  },
  "still-here": {
    status: 409,
    title: "This person has not left",
    help: "Somebody who works here cannot be made neutral. Note first that they have left.",
  },
  "under-hold": {
    status: 409,
    title: "A legal hold keeps this",
    help: "A legal hold keeps this until it is lifted. Ask whoever placed it.",
  },
});
