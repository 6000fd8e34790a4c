export { keepingErrors } from "./errors.ts";
export { forgetOld } from "./forget-old.ts";
export { keepForgetting } from "./keep-forgetting.ts";
export { keepingRoutes } from "./routes.ts";
