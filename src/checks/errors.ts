import { catalogue } from "../platform/index.ts";

export const checkErrors = catalogue({
  "check-not-whole": {
    status: 422,
    title: "The check is not whole",
    help: "Every item of this machine's sheet is answered once. The issues name what is missing, twice there, or not on the sheet.",
  },
  "draft-changed": {
    status: 409,
    title: "The draft was saved by somebody else meanwhile",
    help: "Somebody saved the draft since you read it. Read it again, put your answers into it, and save that.",
  },
  "draft-finished": {
    status: 409,
    title: "This inspection is submitted already",
    help: "The inspection of this draft is on record and does not change any more. Begin a new one if the machine is looked at again.",
  },
  "inspection-not-whole": {
    status: 422,
    title: "The inspection is not whole",
    help: "Every item is answered and every measured item has its reading. The issues name what is missing; nothing was lost.",
  },
});
