import { catalogue } from "../platform/index.ts";

export const peopleErrors = catalogue({
  "wrong-credentials": {
    status: 401,
    title: "The staff number or the secret is wrong",
    help: "Check the number and the secret. After several wrong ones the number is closed from where you are for a while.",
  },
  "token-expired": {
    status: 401,
    title: "The access token has run out",
    help: "Renew the sign-in with the refresh token, then send the call again.",
  },
  "session-ended": {
    status: 401,
    title: "This session has ended",
    help: "Sign in again. What waits on a phone is kept and sent after that.",
  },
  "code-ran-out": {
    status: 401,
    title: "The one-time code has run out",
    help: "Ask the manager for a new one-time code.",
  },
  "wrong-secret": {
    status: 403,
    title: "The present secret is not right",
    help: "Type the secret that you use at present, then the new one.",
  },
  "cross-site": {
    status: 403,
    title: "This did not come from a page of this service",
    help: "A session kept in cookies is for the pages of this service. Other programs send their token in the header Authorization.",
  },
  "already-left": {
    status: 409,
    title: "This person has left",
    help: "This person has left; their place does not change any more. Add them again if they are back.",
  },
  "firm-exists": {
    status: 409,
    title: "The firm is founded already",
    help: "One store holds one firm, and this one is founded. Use a store of its own for another.",
  },
  "last-manager": {
    status: 409,
    title: "The firm would be left without a manager",
    help: "Make somebody else a manager of all depots first.",
  },
  "own-secret": {
    status: 409,
    title: "Your own secret is changed by yourself",
    help: "Nobody resets their own secret. Change it yourself under your name.",
  },
  "staff-number-taken": {
    status: 409,
    title: "This staff number is taken",
    help: "Somebody has, or had, this number. Choose another one.",
  },
  "locked-out": {
    status: 429,
    title: "Too many failed sign-ins",
    help: "After several wrong secrets the number is closed from this place for a quarter of an hour. It is open on devices where its person has signed in before; a manager can give a one-time code, and whoever runs the service can lift it.",
  },
});
