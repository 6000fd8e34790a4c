// What can go wrong with the list of parts and what they cost.
import { catalogue } from "../platform/index.ts";

export const partErrors = catalogue({
  "no-currency": {
    status: 409,
    title: "The firm has not said in which currency it counts",
    help: "An amount without its currency is none. A manager sets the currency in the firm's policy; then send it again.",
  },
});
