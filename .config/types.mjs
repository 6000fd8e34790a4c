// `npm run types`: the type checks alone.
import { inLanes, typesOfPages, typesOfPageTests, typesOfService, typesOfWorker } from "./steps.mjs";

process.exit((await inLanes([typesOfService, typesOfPageTests, typesOfPages, typesOfWorker])).length > 0 ? 1 : 0);
