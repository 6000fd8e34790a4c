// What is needed at a machine and not before: fetched once the list is there.
export { Report } from "./report.tsx";
export { Walking } from "./walking.tsx";
