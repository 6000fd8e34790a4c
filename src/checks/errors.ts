import { catalogue } from "../platform/index.ts";

export const checkErrors = catalogue({
  "check-not-whole": { status: 422, title: "The check is not whole" },
  "draft-changed": { status: 409, title: "The draft was saved by somebody else meanwhile" },
  "draft-finished": { status: 409, title: "This inspection is submitted already" },
  "inspection-not-whole": { status: 422, title: "The inspection is not whole" },
});
