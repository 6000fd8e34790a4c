// The code that is needed only at a machine: loaded once the list is there.
export { Fall } from "./fall.tsx";
export { Report } from "./report.tsx";
export { Walking } from "./walking.tsx";
