// What a thread of the service loads first where it runs from its sources: see src/platform/threads.ts.
import { register } from "tsx/esm/api";

register();
