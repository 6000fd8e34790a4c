// `npm start`: gets the clone ready, then runs the service in this very process, so that signals reach it.
import { setUp } from "./set-up.mjs";

// In production the development tools are not installed.
setUp({ withTools: process.env.NODE_ENV !== "production" });
const { register } = await import("tsx/esm/api");
register();
await import("../src/main.ts");
