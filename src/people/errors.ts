import { catalogue } from "../platform/index.ts";

export const peopleErrors = catalogue({
  "wrong-credentials": { status: 401, title: "The staff number or the secret is wrong" },
  "token-expired": { status: 401, title: "The access token has run out" },
  "session-ended": { status: 401, title: "This session has ended" },
  "cross-site": { status: 403, title: "This did not come from a page of this service" },
  "already-left": { status: 409, title: "This person has left" },
  "firm-exists": { status: 409, title: "The firm is founded already" },
  "last-manager": { status: 409, title: "The firm would be left without a manager" },
  "staff-number-taken": { status: 409, title: "This staff number is taken" },
  "locked-out": { status: 429, title: "Too many failed sign-ins" },
});
