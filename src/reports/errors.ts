import { catalogue } from "../platform/index.ts";

export const reportErrors = catalogue({
  "period-too-long": {
    status: 422,
    title: "More was recorded in these days than one paper holds",
    help: "Ask for fewer days, or take the records of the month as a file.",
  },
});
