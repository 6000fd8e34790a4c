import { catalogue } from "../platform/index.ts";

export const peopleErrors = catalogue({
  "wrong-credentials": 401,
  "token-expired": 401,
  "session-ended": 401,
  "code-ran-out": 401,
  "wrong-secret": 403,
  "cross-site": 403,
  "already-left": 409,
  "firm-exists": 409,
  "last-manager": 409,
  "own-secret": 409,
  "staff-number-taken": 409,
  "locked-out": 429,
});
