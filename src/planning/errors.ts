// What can go wrong with keeping who rides what.
import { catalogue } from "../platform/index.ts";

export const planningErrors = catalogue({
  "allocation-wrong": {
    status: 422,
    title: "Machines cannot be given out like this",
    help: "One line or more cannot be right; the issues name them. Give these riders another machine, or none, and send it again.",
  },
  "machine-ridden": {
    status: 409,
    title: "Somebody else rides this machine",
    help: "Somebody else is cleared to ride a machine that was given out; the issues name the lines. Give these riders another one.",
  },
});
