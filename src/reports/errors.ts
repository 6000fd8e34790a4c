import { catalogue } from "../platform/index.ts";

export const reportErrors = catalogue({
  "nothing-to-hang-up": {
    status: 409,
    title: "There is no notice to hang on this machine",
    help: "To take it off the road, report what is wrong with it, or withdraw it; then print the notice.",
  },
  "period-too-long": {
    status: 422,
    title: "More was recorded in these days than one paper holds",
    help: "Ask for fewer days, or take the records of the month as a file.",
  },
});
