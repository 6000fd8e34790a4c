import { catalogue } from "../platform/index.ts";

export const reportErrors = catalogue({
  "period-too-long": 422,
});
